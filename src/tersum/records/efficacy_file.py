"""Reading EFFICACY.toml: runs of efficacy tests as they were counted at the bench, with all faults at once."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from tersum.errors import N_, Faults, TersumError
from tersum.fields import Fields
from tersum.lethality import efficacy_run
from tersum.lethality.carriers import LOG_OF_MEAN, MEAN_OF_LOGS
from tersum.lethality.efficacy import Efficacy, requirements
from tersum.lethality.efficacy_run import (
    GROWTH_METHODS,
    Batch,
    Carriers,
    Data,
    Growth,
    NeutraliserArms,
    Run,
    Surface,
    Suspension,
    Virus,
    layout,
    run_result,
)
from tersum.lethality.surface_efficacy import MOST_LOGS
from tersum.lethality.suspension import Controls
from tersum.lethality.titre import N_MINUS_1, VARIANCES, Titre, spearman_kaerber, wells
from tersum.records.toml_file import placed, read_toml

SCHEMA = "tersum/efficacy/1"
MOST_RUNS, MOST_COUNTS = 200, 400
_LARGEST_COUNT = 1e12


@dataclass(frozen=True)
class EfficacyFile:
    """The runs of one file with their results, in its order."""

    file: str
    runs: tuple[Run, ...]
    results: tuple[Efficacy, ...]
    invented: bool


def read_efficacy(path: str) -> EfficacyFile:
    """Return the runs of a file, evaluated.

    Raises
    ------
    RowFault
        If the file cannot be read.
    Faults
        Everything that is wrong with its runs, all at once, each with the number of its run.
    """
    fields = Fields(read_toml(path))
    fields.text("schema", choices=[SCHEMA])
    invented = fields.yes("invented", False)
    fields.optional_text("note", most=2000)
    read = [_run(one) for one in fields.tables("run", least=1, most=MOST_RUNS)]
    fields.close()
    runs = [one for one in read if one is not None]
    faults: list[TersumError] = list(fields.faults)
    results: list[Efficacy] = []
    for place, run in enumerate(read, start=1) if not faults else ():
        assert run is not None
        try:
            results.append(run_result(run))
        except TersumError as fault:
            faults += _of_run(place, fault)
    if faults:
        raise placed(path, faults)
    return EfficacyFile(path, tuple(runs), tuple(results), invented)


def _run(fields: Fields) -> Run | None:
    before = len(fields.faults)
    test = fields.text("test", choices=(*requirements(), *GROWTH_METHODS))
    organism, strength = fields.text("organism", most=120), fields.text("strength", most=80)
    contact = fields.number("contact_min", above=0.0, most=1e5)
    known = len(fields.faults) == before
    kind = layout(test) if known else ""
    data = _READERS[kind](fields.table(kind)) if known else None
    arms = fields.table("neutraliser", required=False)
    checked = _arms(arms) if arms.present() else None
    if known:
        fields.close()
    if data is None or len(fields.faults) > before:
        return None
    return Run(test, organism, strength, contact, data, checked)


def _suspension(fields: Fields) -> Data:
    controls = fields.table("controls", required=False)
    wide = numbers(fields, "suspension_range", least=0, most=2)
    if len(wide) not in (0, 2) or (len(wide) == 2 and not 0.0 < wide[0] < wide[1]):
        fields.refuse("suspension_range", str(list(wide)), N_("two densities, CFU/mL, the smaller first"))
    found = Suspension(
        first=colonies(fields, "first"), second=colonies(fields, "second", least=0),
        dilution_first=fields.number("dilution_first", above=0.0, most=1.0),
        plates=colonies(fields, "plates", uncountable=True),
        controls=_controls(controls) if controls.present() else None,
        volume_ml=fields.number("volume_ml", 1.0, above=0.0, most=1000.0),
        density_range=(wide[0], wide[1]) if len(wide) == 2 else None)
    fields.close()
    return found


def _controls(fields: Fields) -> Controls:
    def count(name: str) -> float:
        return fields.number(name, least=0.0, most=_LARGEST_COUNT)

    found = Controls(count("suspension"), count("conditions"), count("neutraliser"), count("method"),
                     fields.optional_number("strong_suspension", least=0.0))
    fields.close()
    return found


def _surface(fields: Fields) -> Data:
    return _carriers_of_a_surface(fields)


def _wipe(fields: Fields) -> Data:
    return _carriers_of_a_surface(fields, spread_cfu_25cm2=fields.number("spread_cfu_25cm2", least=0.0),
                                  transfer_cfu_field=fields.number("transfer_cfu_field", least=0.0))


def _room(fields: Fields) -> Data:
    told = fields.optional_text("distribution", choices=("met", "not-met"))
    return _carriers_of_a_surface(fields, room_m3=fields.number("room_m3", above=0.0, most=1e6),
                                  distribution_met=None if told is None else told == "met")


def _carriers_of_a_surface(fields: Fields, **beside: float | bool | None) -> Surface:
    found = Surface(water=numbers(fields, "water_cfu"), treated=numbers(fields, "treated_cfu"),
                    limit_cfu=fields.number("limit_cfu", above=0.0, most=1e6), **beside)  # type: ignore[arg-type]
    fields.close()
    return found


def _virus(fields: Fields) -> Data | None:
    inoculum = fields.number("inoculum_ml", above=0.0, most=100.0)
    variance = fields.text("variance", N_MINUS_1, choices=VARIANCES)
    control, test = (_titre(fields.table(name), inoculum, variance) for name in ("control", "test"))
    fields.close()
    return None if control is None or test is None else Virus(control, test)


def _titre(fields: Fields, inoculum_ml: float, variance: str) -> Titre | None:
    before = len(fields.faults)
    logs = numbers(fields, "log10_dilution", least=2, below_zero=True)
    positive, total = colonies(fields, "positive", least=2), colonies(fields, "total", least=2)
    fields.close()
    if len(fields.faults) > before or not math.isfinite(inoculum_ml):
        return None
    try:
        return spearman_kaerber(wells(logs, positive, total, inoculum_ml=inoculum_ml), variance=variance)
    except TersumError as fault:
        for one in fault.faults if isinstance(fault, Faults) else (fault,):
            one.field = f"{fields.place}: {one.field}"
            fields.faults.append(one)
        return None


def _growth(fields: Fields) -> Data:
    batches = tuple(_batch(one) for one in fields.tables("batch", least=1, most=30))
    fields.close()
    return Growth(batches)


def _batch(fields: Fields) -> Batch:
    found = Batch(fields.whole("positive", most=1000), fields.whole("carriers", least=1, most=1000),
                  fields.optional_number("log10_density", least=0.0, most=12.0))
    fields.close()
    return found


def _carriers(fields: Fields) -> Data:
    control = numbers(fields, "control_cfu")
    if control and max(control) <= MOST_LOGS:
        fields.refuse("control_cfu", max(control), N_("CFU recovered, not their logarithm"))
    found = Carriers(control_log10=tuple(math.log10(one) if one > 0.0 else math.nan for one in control),
                     treated_cfu=numbers(fields, "treated_cfu"),
                     limit_cfu=fields.number("limit_cfu", above=0.0, most=1e6),
                     definition=fields.text("definition", LOG_OF_MEAN, choices=(LOG_OF_MEAN, MEAN_OF_LOGS)))
    if any(one == 0.0 for one in control):
        fields.refuse("control_cfu", 0, N_("a count above 0 from every control carrier"))
    fields.close()
    return found


def _arms(fields: Fields) -> NeutraliserArms:
    found = NeutraliserArms(*(numbers(fields, name) for name in ("effectiveness", "toxicity", "viability")))
    fields.close()
    return found


_READERS: dict[str, Callable[[Fields], Data | None]] = {
    efficacy_run.SUSPENSION: _suspension, efficacy_run.SURFACE: _surface, efficacy_run.WIPE: _wipe,
    efficacy_run.ROOM: _room, efficacy_run.VIRUS: _virus, efficacy_run.GROWTH: _growth,
    efficacy_run.CARRIERS: _carriers,
}


def numbers(fields: Fields, key: str, *, least: int = 1, most: int = MOST_COUNTS,
            below_zero: bool = False) -> tuple[float, ...]:
    """Return a list of finite numbers, 0 or more unless ``below_zero``; none where an unneeded key is absent."""
    value = fields.raw(key, [])
    if not isinstance(value, list) or not least <= len(value) <= most or not all(
            _plain(one) and math.isfinite(one) and (below_zero or one >= 0.0) for one in value):
        fields.refuse(key, _shown(value), N_("a list of {least} to {most} numbers, 0 or more") if not below_zero
                      else N_("a list of {least} to {most} numbers"), least=least, most=most)
        return ()
    return tuple(float(one) for one in value)


def colonies(fields: Fields, key: str, *, least: int = 1, uncountable: bool = False) -> tuple[float, ...]:
    """Return a list of counts: whole numbers, and where ``uncountable`` also ``inf`` for a plate beyond counting."""
    value = fields.raw(key, [])
    if not isinstance(value, list) or not least <= len(value) <= MOST_COUNTS or not all(
            _plain(one) and ((one >= 0 and one == one // 1 and math.isfinite(one)) or (uncountable and one == math.inf))
            for one in value):
        accepted = (N_("a list of {least} or more whole counts, not their logarithms; inf where a plate is beyond "
                       "counting") if uncountable else N_("a list of {least} or more whole counts, not their "
                                                          "logarithms"))
        fields.refuse(key, _shown(value), accepted, least=least)
        return ()
    return tuple(float(one) for one in value)


def _plain(one: object) -> bool:
    return isinstance(one, int | float) and not isinstance(one, bool) and not math.isnan(one)


def _shown(value: object) -> object:
    return str(value) if isinstance(value, list) else value


def _of_run(place: int, fault: TersumError) -> list[TersumError]:
    found = list(fault.faults) if isinstance(fault, Faults) else [fault]
    for one in found:
        one.field = f"run {place}: {one.field}"
    return found
