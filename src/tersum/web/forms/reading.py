"""The form of one reading: the number as it was typed, what it may mean, and what is asked about before it is kept."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from typing import TypeVar

from tersum.documents.text import _
from tersum.errors import TersumError
from tersum.records.columns import Expected, reader
from tersum.visit.next_swab import Swab, far_from_last
from tersum.visit.plan import Instrument, SamplingPoint
from tersum.visit.readings import Reading
from tersum.web.forms.questions import SWAB, YES
from tersum.web.sending import OPERATION, Form
from tersum.web.words import QUESTIONS

T = TypeVar("T")
BELOW, OVER = "below", "over"
TEXTS = ("number", "blank", "swab_lot", "person", "note")


@dataclass(frozen=True)
class Typed:
    """What was typed and pressed, unread. ``meant`` answers a number with two readings, ``confirmed`` a far one."""

    operation_id: str
    swab: str
    answers: dict[str, str]
    texts: dict[str, str]
    pressed: str = ""
    meant: str = ""
    confirmed: str = ""

    @property
    def all_yes(self) -> bool:
        """Whether every question before the swab was answered with yes."""
        return all(answer == YES for answer in self.answers.values())


@dataclass(frozen=True)
class Asked:
    """What keeps a reading from being kept: faults by field, or one question about the number."""

    faults: dict[str, str] = field(default_factory=dict)
    readings_of_number: tuple[str, ...] = ()  # the two ways in which it can be read
    far_from: float | None = None  # the last value here, which it is far from


def typed(form: Form) -> Typed:
    """Return a form as it was sent."""
    return Typed(form[OPERATION], form.get(SWAB, ""), {one.field: form.get(one.field, "") for one in QUESTIONS},
                 {name: form.get(name, "") for name in TEXTS}, form.get("pressed", ""), form.get("meant", ""),
                 form.get("confirmed", ""))


@dataclass(frozen=True)
class Last:
    """The last value at a point, and whether it was cleaned since, so that a fall is what is wanted."""

    rlu: float | None
    cleaned_since: bool


def reading_of(form: Typed, point: SamplingPoint, swab: Swab, instrument: Instrument, *, last: Last,
               now: datetime) -> Reading | Asked:
    """Return the reading that a form holds, or what is to be asked first.

    Parameters
    ----------
    form : Typed
        All questions before the swab answered with yes.
    point, swab, instrument
        What was read, and with which meter.
    last : Last
        The last value at this point.
    now : datetime
        The present moment.
    """
    faults: dict[str, str] = {}
    asked: list[TersumError] = []
    expected = Expected(now, over_range_rlu=instrument.over_range_rlu)
    number = _read(lambda: _number(form, instrument, expected), "number", faults, asked)
    others = {name: _read(lambda name=name: reader(name, expected)(form.texts[name]), name, faults, [])  # type: ignore[misc]
              for name in TEXTS if name != "number"}
    if asked:
        return Asked({name: told for name, told in faults.items() if name != "number"}, two_ways(asked[0]))
    if faults or number is None:
        return Asked(faults)
    low, high, raw = number
    if form.confirmed != raw and far_from_last(low, high, last.rlu, cleaned_since=last.cleaned_since):
        return Asked(far_from=last.rlu)
    return Reading(
        point.id, swab.stage, low, high, raw, swab.round, swab.number, blank_rlu=others["blank"],
        surface=point.surface, instrument=instrument.type, swab_lot=others["swab_lot"], person=others["person"],
        note=others["note"], **{name: answer == YES for name, answer in form.answers.items()})  # type: ignore[arg-type]


def _number(form: Typed, instrument: Instrument, expected: Expected) -> tuple[float, float, str]:
    """Return the bounds of the number and the text that stands for it."""
    text = form.texts["number"]
    if form.pressed in (BELOW, OVER) and not text.strip():
        bound = instrument.detection_rlu if form.pressed == BELOW else instrument.over_range_rlu
        if bound is not None:
            text = f"{'<' if form.pressed == BELOW else '>'}{bound:.15g}"
    elif form.pressed in (BELOW, OVER):
        raise TersumError(_("A number is typed as well: clear it, or press Record."), field="number", value=text)
    try:
        read: tuple[float, float, str] = reader("rlu", expected)(text)
    except TersumError as fault:
        if fault.code != "ambiguous-number" or form.meant not in two_ways(fault):
            raise
        read = reader("rlu", expected)(form.meant)
    return read[0], read[1], read[2].strip()


def two_ways(fault: TersumError) -> tuple[str, str]:
    """Return the two ways in which a number can be read, from its refusal."""
    return str(fault.places["whole"]), str(fault.places["fraction"])


def _read(read: Callable[[], T], name: str, faults: dict[str, str], asked: list[TersumError]) -> T | None:
    """Return what a field says; note what is wrong with it in words of the form, or that it has to be asked about."""
    try:
        return read()
    except TersumError as fault:
        if name == "number" and fault.code == "ambiguous-number":
            asked.append(fault)
        fault.field = _label(name)
        faults[name] = fault.sentence(_)
        return None


def _label(name: str) -> str:
    return {"number": _("The number"), "blank": _("The blank"), "swab_lot": _("The swab lot"),
            "person": _("The name"), "note": _("The note")}[name]
