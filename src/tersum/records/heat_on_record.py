"""A logged trace as a step's record holds it: the dose of its least sensor, its summary and the hash of its file."""

from __future__ import annotations

import hashlib
import math
from pathlib import Path

from tersum.lethality.heat import dose
from tersum.lethality.heat_trace import Logging
from tersum.records.intake import open_input
from tersum.records.trace_file import trace_doses
from tersum.visit.heat_step import HeatOnRecord, TraceAsked

_PIECE = 1 << 20


def heat_on_record(folder: Path, asked: TraceAsked) -> HeatOnRecord:
    """Return what the trace of a step amounts to as A0, of several sensors the one that got least.

    Parameters
    ----------
    folder : Path
        Where the visit file is: the trace is named from there.
    asked : TraceAsked
        As the visit file names it.

    Raises
    ------
    RowFault, Faults
        As :func:`tersum.records.trace_file.trace_doses`.
    """
    path = str(folder / asked.file)
    logging = Logging(sensor_u_k=asked.sensor_u_k, longest_gap_s=asked.longest_gap_s,
                      time_constant_s=asked.time_constant_s)
    sensors = trace_doses(path, dose("A0"), logging, sure_of_unit=asked.celsius_confirmed)
    least = sensors[0].found
    counted = least.counted
    return HeatOnRecord(
        Path(asked.file).name, _sha256(path), sensors[0].sensor, len(sensors), least.samples,
        _rounded(least.duration_s), _rounded(least.credited_s), _rounded(least.hottest_c), _rounded(least.dose),
        None if math.isnan(least.low) else _rounded(least.low),
        None if math.isnan(least.high) else _rounded(least.high), counted.cut_off_c, counted.reference_c, counted.z_k,
        asked.sensor_u_k, {code: _rounded(amount) for code, amount in least.findings.items()})


def _sha256(path: str) -> str:
    digest = hashlib.sha256()
    with open_input(path) as stream:
        while piece := stream.read(_PIECE):
            digest.update(piece)
    return digest.hexdigest()


def _rounded(value: float) -> float:
    """Return six significant digits: the same trace gives the same fact on every machine."""
    return float(f"{value:.6g}")
