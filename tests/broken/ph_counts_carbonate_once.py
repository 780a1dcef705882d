"""The array solver takes the second proton of a part as never lost."""

WHAT = "the array twin forgets all but the first dissociation of each acid"
BREAKS = ["tests/properties/test_ph_laws.py::test_scalar_and_array_twins_agree"]


def apply(monkeypatch):
    from tersum.chemistry import ph_arrays

    true = ph_arrays._dissociation
    monkeypatch.setattr(ph_arrays, "_dissociation", lambda name, kelvin: true(name, kelvin)[:1] if name not in (
        "carbonic acid",) else [true(name, kelvin)[0], true(name, kelvin)[1] * 1e-6])
