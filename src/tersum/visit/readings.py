"""One reading of one swab, as it was typed, and why it may not count."""

from __future__ import annotations

from dataclasses import dataclass

STAGES = ("as_found", "cleaned", "treated")
NO_NUMBER = "not read"  # stands where the number would, for a swab of which none was read: anything from 0 upwards


@dataclass(frozen=True)
class Reading:
    """One swab read at one point.

    ``low_rlu`` and ``high_rlu`` bound what the meter showed: equal for a plain number, ``0`` and the number for "below
    detection", the number and infinity for "over range". ``None`` means "not recorded", which is neither yes nor no.
    """

    point: str
    stage: str
    low_rlu: float
    high_rlu: float
    raw: str
    round: int = 1
    swab: int = 1
    blank_rlu: float | None = None
    surface: str | None = None
    instrument: str | None = None
    swab_lot: str | None = None
    dry: bool | None = None
    rinsed: bool | None = None
    fresh_area: bool | None = None
    swab_in_date: bool | None = None
    instrument_checked: bool | None = None
    void_reason: str | None = None  # after the number was seen: "instrument-fault" or "lot-fault", nothing else
    void_approved_by: str | None = None
    at: str | None = None  # RFC 3339, UTC
    person: str | None = None
    note: str | None = None
    row: int = 0  # line of the file it came from, 0 if none


# Field of a reading: the code of the fault when the answer, given before the swab was opened, is no.
FAULTS_BEFORE_THE_NUMBER = {
    "dry": "wet-surface",
    "rinsed": "chemical-left",
    "fresh_area": "not-a-fresh-area",
    "swab_in_date": "swab-out-of-date",
    "instrument_checked": "instrument-not-checked",
}
FAULTS_AFTER_THE_NUMBER = ("instrument-fault", "lot-fault")


def fault(reading: Reading) -> str | None:
    """Return the code of why a reading does not count, or None if it does."""
    for name, code in FAULTS_BEFORE_THE_NUMBER.items():
        if getattr(reading, name) is False:
            return code
    return reading.void_reason


def uses_a_look(reading: Reading) -> bool:
    """Tell whether a reading takes one of the planned looks: every counted one, and one voided after it was seen."""
    return fault(reading) is None or (fault(reading) in FAULTS_AFTER_THE_NUMBER)
