"""A titre counted with what the reagents alone use up."""

WHAT = "the blank is not taken off the titre"
BREAKS = ["tests/properties/test_titration_laws.py::test_titration_forward_then_back_returns_the_strength"]


def apply(monkeypatch):
    from tersum.chemistry import titration

    true = titration._check

    def forgetful(done):
        true(done)
        object.__setattr__(done, "blank_ml", 0.0)

    monkeypatch.setattr(titration, "_check", forgetful)
