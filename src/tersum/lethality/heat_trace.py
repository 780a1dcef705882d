"""Dose of moist heat from a logged trace: the rate is summed, never the mean temperature; in bounded memory."""

from __future__ import annotations

import copy
import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tersum.arguments import Array, real
from tersum.errors import N_, OutOfRange, UnknownName
from tersum.lethality.heat import Dose
from tersum.lethality.heat_rate import STRAIGHT_LINES, TRAPEZOID, credit

METHODS = (STRAIGHT_LINES, TRAPEZOID)
CHUNK = 1 << 14  # samples at a time: what lies in a processor's near memory
GAP_INTERVALS = 3.0
STAY_TIME_CONSTANTS = 3.0
# An isolated sample this far from both neighbours is taken for a fault of the sensor, not for heat.
SPIKE_K = 20.0
BOILING_C = 100.0
COLDEST_C, HOTTEST_C = -100.0, 1000.0

GAP = "gap"
SPIKE = "spike"
ABOVE_THE_BOIL = "above-the-boil"
SHORT_STAY = "short-stay"
NEVER_HOT = "never-hot-enough"
NO_INTERVAL = "sensor-uncertainty-not-stated"

_FAHRENHEIT_LOWEST = 50.0
_CARRIED = 3  # samples: the last interval waits for the next sample to show whether its end is a spike


@dataclass(frozen=True)
class Logging:
    """How a trace was logged, and what is not credited.

    Parameters
    ----------
    cap_c : float or None
        Saturated steam at the pressure around, °C: hotter is not moist heat and earns no more than that. None where
        the steam is under pressure.
    sensor_u_k : float or None
        Expanded uncertainty of the sensor, K; None: not stated, and the dose has no interval.
    longest_gap_s : float or None
        A longer interval earns nothing; None: three times the median interval at the start of the trace.
    time_constant_s : float or None
        Of the sensor: a stay above the cut-off shorter than three of these earns nothing; None: not looked at.
    method : {"straight-lines", "trapezoid"}
        Straight lines between samples, exactly; or the trapezoid on the rate, which reads high on a steep rise.
    """

    cap_c: float | None = BOILING_C
    sensor_u_k: float | None = None
    longest_gap_s: float | None = None
    time_constant_s: float | None = None
    method: str = STRAIGHT_LINES

    def __post_init__(self) -> None:
        if self.method not in METHODS:
            raise UnknownName("method", self.method, METHODS)
        for name in ("longest_gap_s", "time_constant_s"):
            if getattr(self, name) is not None:
                real(name, getattr(self, name), above=0.0)
        if self.cap_c is not None:
            real("cap_c", self.cap_c)
        if self.sensor_u_k is not None:
            real("sensor_u_k", self.sensor_u_k, at_least=0.0, at_most=50.0)


@dataclass(frozen=True)
class HeatDose:
    """What a trace amounts to, in the unit of ``counted``.

    ``low`` and ``high`` are the dose with every sample lower and higher by the sensor's expanded uncertainty (NaN where
    that is not stated). ``credited_s`` is the time above the cut-off that counts. ``mean_c`` is the mean temperature
    over time: shown to warn, it enters nothing. ``findings`` maps codes to an amount: ``gap`` and ``above-the-boil`` in
    seconds, ``spike`` and ``short-stay`` in number, ``never-hot-enough`` the hottest °C,
    ``sensor-uncertainty-not-stated`` 0.
    """

    counted: Dose
    logging: Logging
    dose: float
    low: float
    high: float
    samples: int
    duration_s: float
    credited_s: float
    hottest_c: float
    mean_c: float
    findings: Mapping[str, float]


def heat_dose(time_s: ArrayLike, temp_c: ArrayLike, *, counted: Dose, logging: Logging | None = None) -> HeatDose:
    """Return the dose of a logged trace.

    Parameters
    ----------
    time_s : array_like, shape (n,)
        Seconds, rising, n at least 2.
    temp_c : array_like, shape (n,)
        Of the wet surface at the spot that heats last, °C.
    counted : Dose
        From :func:`tersum.lethality.heat.dose`.
    logging : Logging, optional
        Cap, sensor, gaps, method.

    Raises
    ------
    OutOfRange
        As :meth:`TraceDose.add`.

    Source
    ------
    EN ISO 15883-1, annex B.1, rate first, then the integral. Straight lines between samples are integrated exactly: on
    a ramp from 60 to 90 °C sampled ten times the trapezoid is 3.9 % higher; the mean temperature would give a quarter.

    Examples
    --------
    >>> from tersum.lethality.heat import dose
    >>> ramp = np.linspace(0.0, 300.0, 11)
    >>> found = heat_dose(ramp, 60.0 + ramp / 10.0, counted=dose("A0", cut_off_c=-math.inf))
    >>> round(found.dose, 2), round(found.mean_c, 1)
    (433.86, 75.0)
    """
    running = TraceDose(counted, logging or Logging())
    running.add(time_s, temp_c)
    return running.result()


def looks_like_fahrenheit(coolest_c: float, hottest_c: float, *, cap_c: float | None = BOILING_C) -> bool:
    """Tell whether a trace said to be in °C is more likely in °F: never cool, and hotter than water boils.

    Examples
    --------
    >>> looks_like_fahrenheit(68.0, 205.0), looks_like_fahrenheit(18.0, 140.0), looks_like_fahrenheit(60.0, 95.0)
    (True, False, False)
    """
    return cap_c is not None and coolest_c >= _FAHRENHEIT_LOWEST and hottest_c > cap_c + 1.0


@dataclass
class TraceDose:
    """A dose that grows sample by sample: a trace of any length needs no more memory than a piece of it.

    Examples
    --------
    >>> from tersum.lethality.heat import dose
    >>> running = TraceDose(dose("A0"))
    >>> running.add([0.0, 30.0], [80.0, 80.0])
    >>> running.add([60.0], [80.0])
    >>> round(running.result().dose, 6)
    60.0
    """

    counted: Dose
    logging: Logging = field(default_factory=Logging)
    samples: int = field(default=0, init=False)
    coolest_c: float = field(default=math.inf, init=False)
    hottest_c: float = field(default=-math.inf, init=False)

    def __post_init__(self) -> None:
        wide, constant = self.logging.sensor_u_k, self.logging.time_constant_s
        shortest = 0.0 if constant is None else STAY_TIME_CONSTANTS * constant
        self._tallies = [_Tally(shift, shortest) for shift in ((0.0,) if wide is None else (0.0, -wide, wide))]
        self._time, self._temp = np.empty(0), np.empty(0)
        self._start_s = math.nan
        self._gap_s = self.logging.longest_gap_s or math.nan
        self._degree_seconds = 0.0
        self._findings: dict[str, float] = {}

    def add(self, time_s: ArrayLike, temp_c: ArrayLike) -> None:
        """Add samples: seconds that rise, and temperatures, °C.

        Raises
        ------
        OutOfRange
            For times that do not rise (a logger that was reset, or two traces in one), and for what no sensor reads;
            the sample is named by its number in the trace, counted from 1.
        """
        times, temps = _floats("time_s", time_s), _floats("temp_c", temp_c)
        if times.shape != temps.shape or times.ndim != 1:
            raise OutOfRange("temp_c", temps.size, N_("one temperature for each time ({count})"), count=times.size)
        for start in range(0, times.size, CHUNK):
            self._piece(times[start:start + CHUNK], temps[start:start + CHUNK])

    def result(self) -> HeatDose:
        """Return the dose of what was added so far; fewer than two samples are refused."""
        if self.samples < 2:
            raise OutOfRange("samples", self.samples, N_("two samples or more"))
        done = copy.deepcopy(self)  # more may be added afterwards
        done._count(done._time, done._temp, last=True)
        for tally in done._tallies:
            tally.close()
        return done._told()

    def _told(self) -> HeatDose:
        doses = [one.kept_s / self.counted.unit_s for one in self._tallies]
        if self._tallies[0].short_stays:
            self._findings[SHORT_STAY] = float(self._tallies[0].short_stays)
        if doses[0] == 0.0:
            self._findings[NEVER_HOT] = self.hottest_c
        if len(doses) == 1:
            self._findings[NO_INTERVAL] = 0.0
            doses += [math.nan, math.nan]
        duration = float(self._time[-1]) - self._start_s
        return HeatDose(self.counted, self.logging, doses[0], doses[1], doses[2], self.samples, duration,
                        self._tallies[0].credited_s, self.hottest_c, self._degree_seconds / duration, self._findings)

    def _piece(self, times: Array, temps: Array) -> None:
        self._check(times, temps)
        self.coolest_c = min(self.coolest_c, float(temps.min()))
        self.hottest_c = max(self.hottest_c, float(temps.max()))
        if not self.samples:
            self._start_s = float(times[0])
        self.samples += times.size
        times, temps = np.concatenate((self._time, times)), np.concatenate((self._temp, temps))
        if math.isnan(self._gap_s) and times.size > 1:
            self._gap_s = GAP_INTERVALS * float(np.median(np.diff(times)))
        self._count(times, temps, last=False)
        self._time, self._temp = times[-_CARRIED:], temps[-_CARRIED:]

    def _check(self, times: Array, temps: Array) -> None:
        for field_, values in (("time_s", times), ("temp_c", temps)):
            if not math.isfinite(float(values.sum())):
                place = int(np.flatnonzero(~np.isfinite(values))[0])
                raise self._refused(field_, float(values[place]), place, N_("a finite number"))
        if temps.min() < COLDEST_C or temps.max() > HOTTEST_C:
            place = int(np.flatnonzero((temps < COLDEST_C) | (temps > HOTTEST_C))[0])
            raise self._refused("temp_c", float(temps[place]), place, N_("-100 to 1000 °C"))
        before = self._time[-1] if self._time.size else -math.inf
        falls = np.flatnonzero(times[1:] <= times[:-1])
        if times[0] <= before or falls.size:
            place = 0 if times[0] <= before else int(falls[0]) + 1
            raise self._refused("time_s", float(times[place]), place,
                                N_("a time after the one before it: was the logger reset, or do two traces follow?"))

    def _refused(self, field_: str, value: float, place: int, accepted: str) -> OutOfRange:
        return OutOfRange(f"{field_}, sample {self.samples + place + 1}", value, accepted)

    def _count(self, times: Array, temps: Array, *, last: bool) -> None:
        """Count the intervals that are complete: all but the last one, or at the end that one."""
        carried = min(self._time.size, _CARRIED)
        start, stop = (max(times.size - 2, 0), times.size - 1) if last else (max(carried - 2, 0), times.size - 2)
        if stop <= start:
            return
        seconds, temps_here = np.diff(times[start:stop + 1]), temps[start:stop + 1]
        # No dot product: its threads would cost more than they save on a piece of this size.
        self._degree_seconds += float((seconds * (temps_here[:-1] + temps_here[1:])).sum()) / 2.0
        counts = self._counts(seconds, _spikes(temps), start, stop, carried, last=last)
        for tally in self._tallies:
            found = credit(self.counted, seconds, temps_here + tally.shift_k if tally.shift_k else temps_here,
                           cap_c=self.logging.cap_c, method=self.logging.method)
            doses, above_s, above_cap_s = found.doses, found.above_s, found.above_cap_s
            if counts is not None:
                doses, above_s = doses * counts, above_s * counts
                above_cap_s = None if above_cap_s is None else above_cap_s * counts
            tally.keep(doses, above_s)
            if above_cap_s is not None and not tally.shift_k:
                self._note(ABOVE_THE_BOIL, float(above_cap_s.sum()))

    def _counts(self, seconds: Array, spikes: NDArray[np.bool_] | None, start: int, stop: int, carried: int, *,
                last: bool) -> NDArray[np.bool_] | None:
        """Return which intervals count; None where all do."""
        counts = None
        if spikes is not None:
            counts = ~(spikes[start:stop] | spikes[start + 1:stop + 1])
            if not last and (number := int(spikes[max(carried - 1, 1):-1].sum())):
                self._note(SPIKE, float(number))
        if seconds.max() > self._gap_s:
            gaps = seconds > self._gap_s
            self._note(GAP, float(seconds[gaps].sum()))
            counts = ~gaps if counts is None else counts & ~gaps
        return counts

    def _note(self, code: str, amount: float) -> None:
        if amount:
            self._findings[code] = self._findings.get(code, 0.0) + amount


@dataclass
class _Tally:
    """One running dose, with every temperature shifted alike; a stay that is too short is not kept."""

    shift_k: float
    shortest_s: float
    kept_s: float = 0.0
    credited_s: float = 0.0
    open_dose_s: float = 0.0
    open_s: float = 0.0
    short_stays: int = 0

    def keep(self, doses: Array, above_s: Array) -> None:
        """Add intervals in order."""
        if self.shortest_s == 0.0:
            self.kept_s += float(doses.sum())
            self.credited_s += float(above_s.sum())
            return
        hot = above_s > 0.0
        edges = [0, *(np.flatnonzero(hot[1:] != hot[:-1]) + 1).tolist(), hot.size]
        for start, stop in zip(edges, edges[1:], strict=False):
            if not hot[start]:
                self.close()
                continue
            self.open_dose_s += float(doses[start:stop].sum())
            self.open_s += float(above_s[start:stop].sum())

    def close(self) -> None:
        """End the stay that is open, and keep it if it was long enough."""
        if self.open_s >= self.shortest_s:
            self.kept_s += self.open_dose_s
            self.credited_s += self.open_s
        elif self.open_s:
            self.short_stays += 1
        self.open_dose_s = self.open_s = 0.0


def _spikes(temps: Array) -> NDArray[np.bool_] | None:
    """Return which samples stand far off both neighbours, on one side; None where none does."""
    steps = np.diff(temps)
    if steps.size < 2 or max(float(steps.max()), -float(steps.min())) <= SPIKE_K:
        return None
    found = np.zeros(temps.size, bool)
    up, down = steps > SPIKE_K, steps < -SPIKE_K
    found[1:-1] = (up[:-1] & down[1:]) | (down[:-1] & up[1:])
    return found if found.any() else None


def _floats(field_: str, values: ArrayLike) -> Array:
    array = np.atleast_1d(np.asarray(values))
    if array.dtype.kind not in "iuf" or (isinstance(values, list) and any(isinstance(one, bool) for one in values)):
        raise OutOfRange(field_, str(array.dtype), N_("numbers"))
    return array.astype(np.float64, copy=False)
