"""Moist heat in words: what a trace amounted to, what it was not credited with, how long to hold, what steam can do."""

from __future__ import annotations

import math

from tersum.documents.contact_text import known_word
from tersum.documents.numbers import apart, number_text
from tersum.documents.text import _, ngettext
from tersum.documents.wet_text import label_first
from tersum.errors import N_
from tersum.lethality.heat import Dose, HeatClass
from tersum.lethality.heat_trace import (
    ABOVE_THE_BOIL,
    GAP,
    NEVER_HOT,
    NO_INTERVAL,
    SHORT_STAY,
    SPIKE,
    HeatDose,
)
from tersum.lethality.steam_contact import SteamContact
from tersum.records.trace_file import SensorDose

REACHED, NOT_REACHED, CANNOT_TELL = "reached", "not-reached", "cannot-tell"

_FINDINGS = {
    GAP: N_("{amount} s lie in gaps of the log: they earn nothing."),
    ABOVE_THE_BOIL: N_("{amount} s read hotter than water boils: that is not moist heat, and counts as {cap} °C."),
    NEVER_HOT: N_("It never came to {cut} °C, below which nothing is counted: {amount} °C at most."),
}
_WANTED = {
    REACHED: N_("{wanted} {unit} was reached at the sensor that got least."),
    NOT_REACHED: N_("{wanted} {unit} was not reached at the sensor that got least: {dose} {unit}."),
    CANNOT_TELL: N_("Cannot tell whether {wanted} {unit} was reached: the sensor may read wrong by more than the "
                    "margin ({low} to {high} {unit})."),
}


def sensor_rows(found: tuple[SensorDose, ...]) -> list[list[str]]:
    """Return sensor, dose, its ends, seconds credited and the hottest of each, least first."""
    return [[one.sensor, *dose_texts(one.found), number_text(one.found.credited_s),
             number_text(one.found.hottest_c, digits=4)] for one in found]


def sensor_headings(counted: Dose) -> list[str]:
    """Return the headings of :func:`sensor_rows`."""
    return [_("sensor"), f"{counted.name} {counted.unit}", _("low"), _("high"), _("counted s"), _("hottest °C")]


def dose_texts(found: HeatDose) -> tuple[str, str, str]:
    """Return a dose and its ends; a dash where the sensor was not stated."""
    low, high = ("-" if math.isnan(one) else number_text(one) for one in (found.low, found.high))
    return number_text(found.dose), low, high


def judged(found: HeatDose, wanted: float) -> str:
    """Return whether a dose was reached, with the sensor's uncertainty in view."""
    low = found.dose if math.isnan(found.low) else found.low
    high = found.dose if math.isnan(found.high) else found.high
    return REACHED if low >= wanted else NOT_REACHED if high < wanted else CANNOT_TELL


def wanted_line(found: HeatDose, wanted: float) -> str:
    """Return whether a dose was reached, in words."""
    dose, low, high = dose_texts(found)
    return _(_WANTED[judged(found, wanted)]).format(
        wanted=f"{found.counted.name} {apart(wanted, (found.dose,))}", unit=found.counted.unit,
        dose=apart(found.dose, (wanted,)), low=low, high=high)


def finding_lines(found: tuple[SensorDose, ...]) -> list[str]:
    """Return what was not credited, sensor by sensor where there are several."""
    lines = []
    for one in found:
        ahead = f"{one.sensor}: " if len(found) > 1 else ""
        lines += [ahead + line for line in _findings(one.found)]
    if any(NO_INTERVAL in one.found.findings for one in found):
        lines.append(_("The uncertainty of the sensor was not stated: there is no interval, and 1 K is a fifth of the "
                       "dose."))
    return list(dict.fromkeys(lines))


def counted_line(counted: Dose) -> str:
    """Return how a dose is counted, which belongs to every figure of it."""
    said = _("{name}: equivalent time at {reference} °C, z = {z} K").format(
        name=counted.name, reference=number_text(counted.reference_c, digits=5), z=number_text(counted.z_k))
    if math.isinf(counted.cut_off_c):
        return said + "."
    return said + _("; nothing below {cut} °C counts.").format(cut=number_text(counted.cut_off_c))


def class_line(wanted: float, classes: tuple[HeatClass, ...]) -> str:
    """Return what a dose of A0 is asked of; empty where it is none of the classes."""
    for one in classes:
        if math.isclose(one.dose, wanted):
            return _("A0 {dose} is asked of: {what} ({known}).").format(dose=number_text(one.dose), what=one.asked_of,
                                                                    known=known_word(one.known))
    return ""


def trace_cautions() -> list[str]:
    """Return what goes with every dose of a trace."""
    return [_("A physical treatment at the logged spot: it says nothing of other spots, is no disinfection to a "
              "standard, and nothing follows beyond the class that is named."),
            _("It counts heat in a film of water: hot dry air or a hot dry spot earns none. Log the wet surface that "
              "heats last."), burns(), label_first()]


def hold_lines(seconds: float, temp: float, *, wanted: float, counted: Dose, cautious_s: float | None,
               sensor_u_k: float | None) -> list[str]:
    """Return how long to hold, and how long where the sensor may read high."""
    lines = [_("Hold the wet surface at {temp} °C for {time} for {name} {wanted} {unit}.").format(
        temp=number_text(temp, digits=4), time=time_text(seconds), name=counted.name, wanted=number_text(wanted),
        unit=counted.unit)]
    if cautious_s is not None and sensor_u_k is not None:
        lines.append(_("With a sensor that may read {error} K too high: {time}.").format(
            error=number_text(sensor_u_k), time=time_text(cautious_s)))
    return lines


def time_text(seconds: float) -> str:
    """Return a time to hold, rounded up, in seconds or minutes."""
    if seconds < 120.0:
        tenths = math.ceil(round(seconds * 10.0, 6)) / 10.0
        return _("{n} s").format(n=number_text(tenths))
    if seconds < 7200.0:
        return _("{n} min").format(n=number_text(math.ceil(round(seconds / 6.0, 6)) / 10.0))
    return _("{n} h").format(n=number_text(math.ceil(round(seconds / 360.0, 6)) / 10.0))


def steam_lines(found: SteamContact) -> list[str]:
    """Return what seconds of steam on a material can amount to, and what was assumed."""
    low, high = (number_text(round(one, 1), digits=3) for one in found.surface_c)
    lines = [_("{material} after {dwell} s of steam: {low} to {high} °C at the surface.").format(
        material=found.material.name, dwell=number_text(found.dwell_s), low=low, high=high)]
    if not found.hot_enough:
        lines.append(_("It does not come to {cut} °C in that time: no A0 at all.").format(
            cut=number_text(found.counted.cut_off_c)))
    else:
        lines.append(_("A0 {low} to {high} s at most, if everything is as assumed.").format(
            low=_floor(found.dose[0]), high=number_text(found.dose[1], digits=2)))
    return lines


def steam_assumptions(found: SteamContact) -> list[str]:
    """Return the assumptions behind :func:`steam_lines`."""
    thick = _("as thick as matters") if found.thickness_mm is None else _(
        "a sheet of {n} mm with nothing behind it that takes up heat").format(n=number_text(found.thickness_mm))
    conductivity, density, capacity = (number_text(one) for one in (
        found.material.conductivity, found.material.density, found.material.heat_capacity))
    return [_("Assumed: from {start} °C, steam at {steam} °C all the time, heat transfer {low} to {high} W/(m2 K), "
              "{thick}, clean, dry, no film of condensate.").format(
                  start=number_text(found.start_c), steam=number_text(found.steam_c),
                  low=number_text(found.transfer_w_m2k[0]), high=number_text(found.transfer_w_m2k[1]), thick=thick),
            _("Material: {k} W/(m K), {rho} kg/m3, {c} J/(kg K); {what} ({known}).").format(
                k=conductivity, rho=density, c=capacity, what=found.material.stands_for,
                known=known_word(found.material.known))]


def steam_cautions() -> list[str]:
    """Return what goes with every figure of steam on a surface."""
    return [_("What heat could arrive, not what did: measure with a thermocouple on this surface. Take the low end."),
            _("Steam removes no soil: wipe the condensate off, or it stays. It softens plastic and glue and wets "
              "electronics and fabric."), burns(), label_first()]


def burns() -> str:
    """Return the caution of work with steam and hot water."""
    return _("Steam and hot water burn: gloves, nobody in the way, nothing live, and try it out of sight first.")


def _findings(found: HeatDose) -> list[str]:
    lines = []
    cap = "" if found.logging.cap_c is None else number_text(found.logging.cap_c)
    for code, amount in found.findings.items():
        if code == NO_INTERVAL:  # said once for all sensors
            continue
        if code == SPIKE:
            lines.append(ngettext("{n} sample stands far off both its neighbours (a fault of the sensor): it earns "
                                  "nothing.", "{n} samples stand far off both their neighbours (faults of the sensor): "
                                              "they earn nothing.", int(amount)).format(n=int(amount)))
        elif code == SHORT_STAY:
            lines.append(ngettext("{n} stay above the cut-off was shorter than three time constants of the sensor: it "
                                  "earns nothing.",
                                  "{n} stays above the cut-off were shorter than three time constants of the sensor: "
                                  "they earn nothing.", int(amount)).format(n=int(amount)))
        else:
            lines.append(_(_FINDINGS[code]).format(amount=number_text(amount), cap=cap,
                                                   cut=number_text(found.counted.cut_off_c)))
    return lines


def _floor(value: float) -> str:
    """Return a low end that is never rounded up.

    >>> _floor(22.68), _floor(0.0)
    ('22', '0')
    """
    if value <= 0.0:
        return number_text(0.0)
    step = 10.0 ** (math.floor(math.log10(value)) - 1)
    return number_text(math.floor(value / step + 1e-9) * step, digits=2)
