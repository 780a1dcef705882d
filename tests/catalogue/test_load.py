"""The catalogue: what has no source does not load, what is loaded cannot be changed, and no limit ships."""

import dataclasses
import tomllib

import pytest

from tersum.catalogue import load
from tersum.errors import Faults, MissingSource, OutOfRange, UnknownName

DATA = load.FOLDER / "data"
FILES = sorted(DATA.glob("*.toml"))
WHOLE = {"value": 24.0, "unit": "h", "source": "quam-2012", "where": "table 3", "known": "read"}


def loaded(**entry):
    return load.entries({"thing": entry}, sources=frozenset(load.sources()))


@pytest.mark.parametrize("noun", load.nouns())
def test_every_data_file_loads_with_a_source_for_each_value(noun):
    entries = load.table(noun)
    assert entries
    for entry in entries.values():
        for value in entry.values.values():
            assert value.unit and value.where and value.known in load.KNOWN and value.source in load.sources()


def test_whole_value_loads_with_all_it_says():
    value = loaded(half_life={**WHOLE, "at_c": 20})["thing"]["half_life"]
    assert (value.number, value.unit, value.source, value.where, value.known) == tuple(WHOLE.values())
    assert value.name == "thing.half_life" and value.details == {"at_c": 20}


@pytest.mark.parametrize("lacking", ["value", "unit", "source", "where", "known"])
@pytest.mark.parametrize("how", ["absent", "empty"])
def test_value_that_lacks_any_part_does_not_load(lacking, how):
    part = dict(WHOLE)
    if how == "absent" or lacking == "value":
        del part[lacking]
    else:
        part[lacking] = "  "
    with pytest.raises(Faults) as refused:
        loaded(half_life=part)
    (fault,) = refused.value.faults
    assert isinstance(fault, MissingSource) and lacking in str(fault) and "thing.half_life" in str(fault)


@pytest.mark.parametrize("wrong", [{"known": "guessed"}, {"source": "nobody-1900"}, {"known": "practice"},
                                   {"source": "common-practice"}])
def test_value_with_a_source_nobody_knows_does_not_load(wrong):
    with pytest.raises(Faults) as refused:
        loaded(half_life={**WHOLE, **wrong})
    assert all(isinstance(fault, MissingSource) for fault in refused.value.faults)


def test_bare_number_does_not_load_unless_fixed_by_definition():
    with pytest.raises(Faults):
        loaded(half_life=24.0)
    with pytest.raises(Faults):
        loaded(half_lives=[24.0, 48.0])
    defined = load.entries({"definitions": ["charge"], "ion": {"charge": -1}}, sources=frozenset())
    assert defined["ion"].labels["charge"] == -1


def test_all_faults_of_a_file_are_told_at_once():
    with pytest.raises(Faults) as refused:
        loaded(one=1.0, two={"value": 2.0}, three={**WHOLE, "known": "heard"}, four=WHOLE)
    assert len(refused.value.faults) == 3


def test_loaded_values_cannot_be_changed():
    entry = loaded(curve={**WHOLE, "value": {"10": 0.1, "25": [1, 2]}}, half_life=WHOLE)["thing"]
    with pytest.raises(dataclasses.FrozenInstanceError):
        entry["half_life"].value = 1.0
    with pytest.raises(TypeError):
        entry.values["half_life"] = None
    with pytest.raises(TypeError):
        entry["curve"].value["10"] = 9.9
    assert entry["curve"].value["25"] == (1, 2)


def test_value_is_not_taken_for_another_kind():
    entry = loaded(name={**WHOLE, "value": "x"}, list={**WHOLE, "value": [1.0, 2.0]},
                   flag={**WHOLE, "value": True})["thing"]
    assert entry["name"].text == "x" and entry["list"].numbers == (1.0, 2.0)
    for wrong in (lambda: entry["name"].number, lambda: entry["flag"].number, lambda: entry["list"].text,
                  lambda: entry["name"].numbers):
        with pytest.raises(OutOfRange):
            wrong()


def test_unknown_names_are_told_with_near_ones():
    with pytest.raises(UnknownName, match="substances"):
        load.table("substance")
    with pytest.raises(UnknownName, match="Demo Concentrate A"):
        load.product("Demo Concentrat A")
    with pytest.raises(UnknownName):
        load.table("../sources")


def test_book_repeatability_follows_from_its_coefficient_of_variation():
    import math
    assert load.book_repeatability().number == 0.205
    for entry in load.table("repeatability").values():
        worked = math.sqrt(math.log1p(entry["cv"].number ** 2)) / math.log(10.0)
        assert entry["spread_log10"].number == pytest.approx(worked, abs=5e-4)
        assert entry["spread_log10"].known == "computed"


def test_two_sources_that_disagree_are_two_entries():
    glass = load.table("glassware")
    assert glass["graduated pipette"]["tolerance_a"].value["10"] != \
        glass["US graduated pipette"]["tolerance_a"].value["10"]


def rlu_limits(data, path=""):
    """Yield every place of a parsed file that holds a reading somebody could be judged by."""
    if isinstance(data, list):
        for one in data:
            yield from rlu_limits(one, path)
    elif isinstance(data, dict):
        unit = str(data.get("unit", ""))
        if "rlu" in unit.casefold() and not (unit == "log10 RLU" and path.endswith("spread_log10")):
            yield path
        for key, one in data.items():
            words = key.casefold()
            meter = words in ("detection_rlu", "over_range_rlu")  # the range of a display, not a judgement
            if "rlu" in words and not meter:
                yield f"{path}.{key}"
            yield from rlu_limits(one, f"{path}.{key}")


@pytest.mark.parametrize("path", [*FILES, load.FOLDER / "sources.toml"], ids=lambda path: path.stem)
def test_no_limit_ships(path):
    assert not list(rlu_limits(tomllib.loads(path.read_text(encoding="utf-8"))))


def test_a_planted_limit_would_be_found():
    for planted in ({"smooth": {"limit_rlu": 100}}, {"smooth": {"limit": {"value": 100, "unit": "RLU"}}},
                    {"limit": [{"rlu": 100}]}, {"smooth": {"alert": {"value": 2.0, "unit": "log10 RLU"}}}):
        assert list(rlu_limits(planted))


def test_demo_data_are_marked_invented():
    assert load.products() and all(one.invented and one.source == "tersum-demo-data" for one in load.products())
    assert load.demo_instrument()["invented"] is True and "limit" not in load.demo_instrument()
