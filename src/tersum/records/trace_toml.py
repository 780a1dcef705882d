"""Reading a short trace that was written by hand: a TOML file with a list of times and one of temperatures."""

from __future__ import annotations

import math

import numpy as np

from tersum.arguments import Array
from tersum.errors import N_
from tersum.fields import Fields
from tersum.records.toml_file import placed, read_toml

MOST_SAMPLES = 100_000


def read_trace_toml(path: str) -> tuple[str, Array, Array]:
    """Return the temperature key, seconds (n,) and temperatures (n, 1), °C.

    Parameters
    ----------
    path : str
        TOML with one of ``time_s`` and ``time_min``, and one of ``temp_c`` and ``temp_f``: lists of equal length.

    Raises
    ------
    Faults
        All that is missing, unknown, or no list of numbers.
    """
    fields = Fields(read_toml(path))
    time_name, times = _numbers(fields, ("time_s", "time_min"))
    temp_name, temps = _numbers(fields, ("temp_c", "temp_f"))
    if times and temps and len(times) != len(temps):
        fields.refuse(temp_name, len(temps), N_("as many as times ({count})"), count=len(times))
    fields.close()
    if fields.faults:
        raise placed(path, fields.faults)
    seconds = np.array(times) * (60.0 if time_name == "time_min" else 1.0)
    celsius = (np.array(temps) - 32.0) / 1.8 if temp_name == "temp_f" else np.array(temps)
    return temp_name, seconds, celsius[:, None]


def _numbers(fields: Fields, names: tuple[str, str]) -> tuple[str, list[float]]:
    """Return the one of two keys that is there, with its list."""
    there = [(name, value) for name in names if (value := fields.raw(name)) is not None]
    if len(there) != 1:
        fields.refuse(names[0], len(there), N_("one of {first} and {second}: the unit is part of the name"),
                      first=names[0], second=names[1])
        return names[0], []
    name, value = there[0]
    if not isinstance(value, list) or not 0 < len(value) <= MOST_SAMPLES or any(
            isinstance(one, bool) or not isinstance(one, int | float) or not math.isfinite(one) for one in value):
        fields.refuse(name, value if not isinstance(value, list) else len(value), N_("a list of numbers"))
        return name, []
    return name, [float(one) for one in value]
