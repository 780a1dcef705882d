"""Named patches that break a guarantee on purpose; the tests that hold the guarantee must go red under them.

A module here has ``WHAT`` (one sentence: what it breaks), ``BREAKS`` (ids of the tests that must fail, as
``tests/evidence/test_calibration.py::test_name``) and ``apply(monkeypatch)``. `tests/test_controls.py` runs each.
"""
