"""A pattern with every tube positive is given a most probable number."""

WHAT = "all tubes positive is reported as a number, the lower limit, with an equals sign"
BREAKS = ["tests/cli/test_mpn.py::test_none_or_every_tube_gives_a_bound_and_no_number"]


def apply(monkeypatch):
    import dataclasses

    import numpy as np

    from tersum.lethality import mpn

    true = mpn.mpn

    def with_a_number(positive, *, design):
        found = true(positive, design=design)
        number = np.where(np.isinf(found.mpn), 1100.0, found.mpn)
        return dataclasses.replace(found, mpn=number, operator=np.where(found.operator == ">", "=", found.operator))

    monkeypatch.setattr(mpn, "mpn", with_a_number)
