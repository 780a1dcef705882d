"""LIMITS.toml: each limit belongs to one instrument, swab, area and surface; all faults come at once."""

import pytest

from tersum.errors import Faults
from tersum.records.intake import RowFault
from tersum.records.limits_file import Meter, read_limits
from tersum.visit.decision import LimitInForce

HEAD = 'schema = "tersum/limits/1"\ninvented = true\n'
LIMIT = ('[[limit]]\ninstrument = "{0}"\nswab = "{1}"\narea_cm2 = {2}\nsurface = "{3}"\nrlu = {4}\n'
         'basis = "agreed, invented"\nknown = "practice"\n')
DEMO = ("Demo Meter", "Demo Swab", 100, "smooth", 250)


def written(tmp_path, text):
    path = tmp_path / "limits.toml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return str(path)


def limits(tmp_path, *rows):
    return read_limits(written(tmp_path, HEAD + "".join(LIMIT.format(*row) for row in rows)))


def sentences(tmp_path, text):
    with pytest.raises((Faults, RowFault)) as it:
        read_limits(written(tmp_path, text))
    return str(it.value).splitlines()


def test_limit_belongs_to_instrument_swab_area_and_surface(tmp_path):
    found = limits(tmp_path, DEMO, ("Demo Meter", "Demo Swab", 100, "rough", 500))
    assert found.invented
    meter = Meter("Demo Meter", "Demo Swab", 100.0)
    assert found.for_surface(meter, "smooth") == LimitInForce(250.0, "file", "agreed, invented")
    assert found.for_surface(meter, "Rough").rlu == 500.0
    assert found.for_surface(meter, "textile") is None
    assert found.for_surface(meter, None) is None
    assert found.for_surface(Meter("Other Meter", "Demo Swab", 100.0), "smooth") is None
    assert found.for_surface(Meter("Demo Meter", "Other Swab", 100.0), "smooth") is None
    assert found.for_surface(Meter("Demo Meter", "Demo Swab", 25.0), "smooth") is None
    assert found.for_surface(Meter("Demo Meter"), "smooth").rlu == 250.0


def test_limit_that_could_be_of_two_meters_is_none(tmp_path):
    found = limits(tmp_path, DEMO, ("Other Meter", "Demo Swab", 100, "smooth", 60))
    assert found.for_surface(Meter(None), "smooth") is None
    assert found.for_surface(Meter("Other Meter"), "smooth").rlu == 60.0


def test_all_faults_of_the_file_come_at_once(tmp_path):
    text = ('schema = "tersum/limits/2"\ncolour = 1\n[[limit]]\ninstrument = 7\nswab = "s"\narea_cm2 = -1\n'
            'surface = ""\nrlu = 0\nbasis = "b"\nknown = "guess"\n[[limit]]\nrlu = true\nrlv = 2\n')
    told = sentences(tmp_path, text)
    path = str(tmp_path / "limits.toml")
    assert all(line.startswith(f"{path}: ") for line in told)
    for part in ("schema is not known: got tersum/limits/2; did you mean tersum/limits/1?", "colour is not known",
                 "limit 1: instrument is out of range: got 7; accepted: a text.",
                 "limit 1: area_cm2 is out of range: got -1; accepted: above 0, to 10000.",
                 "limit 1: surface is out of range: got nothing; accepted: a text.",
                 "limit 1: rlu is out of range: got 0; accepted: above 0, to 1000000000.",
                 "limit 1: known is not known: got guess; accepted: read, secondary, memory, computed, practice.",
                 "limit 2: instrument is missing.", "limit 2: rlu is out of range: got True; accepted: a number.",
                 "limit 2: rlv is not known: got rlv; did you mean rlu?"):
        assert any(part in line for line in told), part


@pytest.mark.parametrize("number", ["inf", "nan", "-5", "1e12", '"250"'])
def test_limit_that_is_no_positive_number_is_refused(tmp_path, number):
    told = sentences(tmp_path, HEAD + LIMIT.format("m", "s", 100, "smooth", number))
    assert len(told) == 1
    assert "limit 1: rlu is out of range" in told[0]


def test_second_limit_for_the_same_is_refused(tmp_path):
    told = sentences(tmp_path, HEAD + LIMIT.format(*DEMO) + LIMIT.format("Demo Meter", "Demo Swab", 100, "Smooth", 60))
    assert told == [f"{tmp_path / 'limits.toml'}: limit 2 is out of range: got Smooth; accepted: one limit for an "
                    "instrument, swab, area and surface; limit 1 is one."]


@pytest.mark.parametrize(("text", "part"), [
    (HEAD, "limit is missing."),
    ("", "schema is missing."),
    ("x = \n", "the file is not TOML (Invalid value (at line 1, column 5)); accepted: lines such as rlu = 250"),
    (b"x = 1\ny = '\xff'\n", "row 2: the file is not UTF-8: got \\xFF; accepted: a file saved as UTF-8."),
    (b"\x00\x00", "the file is not TOML"),
    ("x = " + "[" * 20000, "the file is not TOML"),
    ("# " + "x" * (1 << 20), "the file is larger than 1048576 bytes; accepted: a small file written by hand."),
    ("limit = 3\nschema = 'tersum/limits/1'", "limit is out of range: got 3; accepted: a list of 1 to 1000 tables."),
])
def test_file_of_another_kind_is_refused(tmp_path, text, part):
    assert any(part in line for line in sentences(tmp_path, text))


def test_missing_file_is_refused(tmp_path):
    with pytest.raises(RowFault, match="there is no such file"):
        read_limits(str(tmp_path / "none.toml"))
