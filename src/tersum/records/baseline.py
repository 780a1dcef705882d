"""The baseline of a class: of each point of each visit the first counted reading after the clean, as it came out."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from tersum.evidence.blank import net_bounds
from tersum.records.columns import Expected
from tersum.records.intake import FaultList, RowFault, open_input
from tersum.records.readings_file import read_readings
from tersum.visit.readings import FAULTS_BEFORE_THE_NUMBER, Reading


@dataclass(frozen=True)
class BaselinePoint:
    """One point of one visit; bounds of its net reading, RLU."""

    surface: str
    instrument: str
    vehicle: str
    low_rlu: float
    high_rlu: float
    person: str | None
    day: str | None


@dataclass(frozen=True)
class Baseline:
    """All points of some files, what was left aside and why, the hash of the files, and every fault."""

    points: tuple[BaselinePoint, ...]
    not_counted: int
    without_class: int
    sha256: str
    faults: FaultList

    def surfaces(self) -> tuple[str, ...]:
        """Return the classes of surface that were met, in order."""
        return tuple(sorted({point.surface for point in self.points}))

    def of_surface(self, surface: str) -> tuple[BaselinePoint, ...]:
        """Return the points of one class."""
        return tuple(point for point in self.points if point.surface == surface)


def read_baseline(files: Iterable[tuple[str, str]], *, stage: str, expected: Expected) -> Baseline:
    """Return the baseline of some tables of readings, each of one visit.

    Parameters
    ----------
    files : iterable of (str, str)
        Path of each table, and the vehicle or room it is of.
    stage : str
        ``cleaned`` or ``treated``.
    expected : Expected
        What is known beforehand, for the reader.

    Returns
    -------
    Baseline
        Of each point the first swab of round 1 that counts: what came out of the procedure before anybody looked and
        cleaned again. Second swabs were taken because of the first, and later rounds because of a limit: both would
        pull the baseline.
    """
    faults, points, aside, classless = FaultList(), [], 0, 0
    hashed = hashlib.sha256()
    for path, vehicle in files:
        try:
            with open_input(path) as stream:
                hashed.update(hashlib.sha256(stream.read()).digest())
                stream.seek(0)
                with read_readings(stream, file=path, expected=expected, faults=faults) as table:
                    for point in table.points():
                        first = [one for one in point.readings if one.stage == stage and one.round == 1]
                        counted = [one for one in first if _counts(one)]
                        aside += len(first) - len(counted)
                        if not counted:
                            continue
                        surface, instrument = point.named("surface"), point.named("instrument")
                        if surface is None or instrument is None:
                            classless += 1
                            continue
                        points.append(_point(min(counted, key=lambda one: one.swab), surface, instrument, vehicle))
        except RowFault as fault:
            faults.add(fault)
    # The order in which a table gives its points is none to rely on.
    ordered = sorted(points, key=lambda one: (one.surface, one.vehicle, one.high_rlu, one.low_rlu))
    return Baseline(tuple(ordered), aside, classless, hashed.hexdigest(), faults)


def _counts(reading: Reading) -> bool:
    spoilt = any(getattr(reading, field) is False for field in FAULTS_BEFORE_THE_NUMBER)
    return not spoilt and reading.void_reason is None and np.isfinite(reading.low_rlu)


def _point(reading: Reading, surface: str, instrument: str, vehicle: str) -> BaselinePoint:
    low, high = net_bounds(reading.low_rlu, reading.high_rlu, reading.blank_rlu or 0.0)
    return BaselinePoint(surface, instrument, vehicle, float(low), float(high), reading.person,
                         None if reading.at is None else reading.at[:10])
