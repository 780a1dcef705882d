"""INSTRUMENT.toml: the meter, its range and its spread, from its own duplicates or stated."""

import math

import pytest

from tersum.errors import Faults
from tersum.records.instrument_file import read_instrument

HEAD = 'schema = "tersum/instrument/1"\ninvented = true\ntype = "Demo Meter"\nswab = "Demo Swab"\narea_cm2 = 100\n'


def instrument(tmp_path, more="", head=HEAD):
    path = tmp_path / "instrument.toml"
    path.write_text(head + more, encoding="utf-8")
    return read_instrument(str(path))


def told(tmp_path, more="", head=HEAD):
    with pytest.raises(Faults) as it:
        instrument(tmp_path, more, head)
    return [line.removeprefix(f"{tmp_path / 'instrument.toml'}: ") for line in str(it.value).splitlines()]


def test_duplicates_give_the_spread_with_one_degree_of_freedom_each(tmp_path):
    found = instrument(tmp_path, "duplicates = [[100, 150], [220, 200], [80, 60]]\ndetection_rlu = 5\n"
                                 "over_range_rlu = 9999\n")
    own = found.repeatability
    logs = [math.log10(100 / 150), math.log10(220 / 200), math.log10(80 / 60)]
    assert own.spread_log10 == pytest.approx(math.sqrt(sum(d * d for d in logs) / 6))
    assert (own.degrees_of_freedom, own.basis) == (3.0, "duplicates")
    assert (found.detection_rlu, found.over_range_rlu, found.invented) == (5.0, 9999.0, True)


def test_spread_may_be_stated_with_its_degrees_of_freedom(tmp_path):
    own = instrument(tmp_path, "spread_log10 = 0.17\ndegrees_of_freedom = 20\n").repeatability
    assert (own.spread_log10, own.degrees_of_freedom, own.basis) == (0.17, 20.0, "stated")
    own = instrument(tmp_path, 'spread_log10 = 0.17\ndegrees_of_freedom = "known"\n').repeatability
    assert own.degrees_of_freedom == math.inf


def test_file_without_either_leaves_the_book_value_to_others(tmp_path):
    assert instrument(tmp_path).repeatability is None


PAIR = "accepted: a pair of readings above 0 RLU, as [210, 180]."
FREEDOM = 'accepted: 1 or more, or "known" for a spread that is taken as known.'


@pytest.mark.parametrize(("more", "sentence"), [
    ("duplicates = [[100, 0]]", f"duplicates 1 is out of range: got [100, 0]; {PAIR}"),
    ("duplicates = [[100, 90], [1, 2, 3]]", f"duplicates 2 is out of range: got [1, 2, 3]; {PAIR}"),
    ("duplicates = [[100, true]]", f"duplicates 1 is out of range: got [100, True]; {PAIR}"),
    ("duplicates = [[100, inf]]", f"duplicates 1 is out of range: got [100, inf]; {PAIR}"),
    ("duplicates = 5",
     "duplicates is out of range: got 5; accepted: pairs of readings above 0, as [[210, 180], [95, 130]]."),
    ("duplicates = [[70, 70], [5, 5]]",
     "duplicates is out of range: got [[70.0, 70.0], [5.0, 5.0]]; accepted: pairs that are not all equal: they show no "
     "spread at all."),
    ("duplicates = [[1, 1e9]]",
     "duplicates is out of range: got [[1.0, 1000000000.0]]; accepted: pairs with a spread of at most 2 log10: these "
     "lie further apart."),
    ("spread_log10 = 0.2", f"degrees_of_freedom is out of range: got nothing; {FREEDOM}"),
    ("degrees_of_freedom = 3",
     "spread_log10 is out of range: got nothing; accepted: the spread that the degrees of freedom belong to."),
    ("spread_log10 = 0.2\ndegrees_of_freedom = 0", f"degrees_of_freedom is out of range: got 0; {FREEDOM}"),
    ("spread_log10 = 3\ndegrees_of_freedom = 9", "spread_log10 is out of range: got 3; accepted: above 0, to 2."),
    ("spread_log10 = 0.2\ndegrees_of_freedom = 9\nduplicates = [[10, 20]]",
     "spread_log10 is out of range: got 0.2; accepted: either duplicates or a stated spread, not both."),
    ("detection_rlu = 0", "detection_rlu is out of range: got 0; accepted: above 0, to 1000000000."),
    ("detection_rlu = 9\nover_range_rlu = 5",
     "over_range_rlu is out of range: got 5; accepted: more than detection_rlu, 9."),
    ("duplicate = []", "duplicate is not known: got duplicate; did you mean duplicates? Accepted: "),
])
def test_fault_is_told_with_its_key(tmp_path, more, sentence):
    found = told(tmp_path, more)
    assert len(found) == 1
    assert found[0].startswith(sentence)


def test_all_faults_come_at_once(tmp_path):
    assert len(told(tmp_path, "detection_rlu = -1\nduplicates = [[0, 1], [2]]\nx = 1", 'type = ""\n')) >= 7
