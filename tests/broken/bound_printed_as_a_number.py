"""A reduction to the detection limit loses its operator."""

WHAT = "a reduction that is only a bound is reported with an equals sign"
BREAKS = ["tests/cli/test_titre.py::test_reduction_keeps_its_operator_in_print_and_json"]


def apply(monkeypatch):
    from tersum.lethality import virus_reduction
    from tersum.lethality.log_reduction import exactly

    monkeypatch.setattr(virus_reduction, "at_most", exactly)
