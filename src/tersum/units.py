"""Numbers as people type them, with their units, turned once into the plain numbers used inside."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from tersum.errors import N_, OutOfRange, TersumError, UnknownName

MOST_DIGITS = 20
ABSOLUTE_ZERO_C = -273.15

_PLAIN = re.compile(r"[+-]?[0-9]+(?:[.,][0-9]+)?", re.ASCII)
_GROUPED = re.compile(r"([+-]?)([1-9][0-9]{0,2})[.,]([0-9]{3})", re.ASCII)
_NUMBER_THEN_UNIT = re.compile(r"([^A-Za-z%°µμ]*)([A-Za-z%°µμ].*)?", re.ASCII | re.DOTALL)

ML_PER: Mapping[str, float] = {
    "ml": 1.0, "cl": 10.0, "dl": 100.0, "l": 1000.0, "litre": 1000.0, "litres": 1000.0, "liter": 1000.0,
    "liters": 1000.0, "m3": 1e6, "m³": 1e6,
}
# Mass per volume: mg/L in one of the unit. The others need a density or a reading, and say so.
MG_L_PER: Mapping[str, float] = {"mg/l": 1.0, "g/l": 1000.0, "mg/ml": 1000.0, "µg/l": 1e-3, "ug/l": 1e-3, "%w/v": 1e4}
STRENGTH_UNITS = ("mg/L", "g/L", "% w/v", "% w/w", "mg/kg", "ppm")
PPM_READINGS = ("mg/L", "mg/kg")


@dataclass(frozen=True)
class Strength:
    """Mass of active per volume of solution, and the words it was given in.

    ``reading`` is the unit the text was taken in ("mg/L", "% w/w", ...); for "ppm" it is the reading agreed, so that a
    page can show what was assumed. ``density_kg_l`` is the density used, None where none was needed.
    """

    mg_l: float
    reading: str
    density_kg_l: float | None = None


def parse_decimal(text: str, *, field: str = "number") -> Decimal:
    """Return the number in a text, or refuse it; nothing is guessed.

    Parameters
    ----------
    text : str
        Digits with at most one sign in front and at most one decimal mark, ``.`` or ``,``, between digits; blanks
        around it are dropped. At most 20 digits.
    field : str
        What to call it in a refusal.

    Raises
    ------
    TersumError
        ``ambiguous-number`` where one to three digits, a mark and exactly three digits can be a thousand or a
        fraction; ``not-a-number`` for everything else that is not a plain number.

    Source
    ------
    Refusing malformed entry instead of guessing: Thimbleby and Cairns, J. R. Soc. Interface 7 (2010) 1429 (memory).

    Examples
    --------
    >>> parse_decimal("42,6")
    Decimal('42.6')
    >>> parse_decimal("1,234")
    Traceback (most recent call last):
    tersum.errors.TersumError: number can be read two ways: got 1,234; write 1234 or 1.2340, whichever is meant.
    """
    bare = text.strip(" \t\r\n")
    if _PLAIN.fullmatch(bare) is None or sum(mark.isdigit() for mark in bare) > MOST_DIGITS:
        raise _not_a_number(field, text, bare)
    grouped = _GROUPED.fullmatch(bare)
    if grouped:
        sign, front, back = grouped.groups()
        raise coded("ambiguous-number", N_("{field} can be read two ways: got {value}; write {accepted}."), field, text,
                    N_("{whole} or {fraction}, whichever is meant"), whole=f"{sign}{front}{back}",
                    fraction=f"{sign}{front}.{back}0")
    return Decimal(bare.replace(",", "."))


def parse_reading(text: str, *, field: str = "reading") -> tuple[float, float]:
    """Return the low and high bound of what a meter showed, RLU.

    A plain number is both bounds. ``<5`` is below detection: 0 to 5. ``>99999`` is over range: 99999 to infinity. A
    shown zero is no zero: it lies below one step of the display (``0`` below 1, ``0.0`` below 0.1).

    Raises
    ------
    TersumError
        As :func:`parse_decimal`; OutOfRange for a negative number and for ``<0`` or ``>0``, which say nothing.

    Examples
    --------
    >>> parse_reading("412"), parse_reading("<5"), parse_reading(">99999"), parse_reading("0")
    ((412.0, 412.0), (0.0, 5.0), (99999.0, inf), (0.0, 1.0))
    """
    bare = text.strip(" \t\r\n")
    sign = bare[:1] if bare[:1] in ("<", ">") else ""
    number = parse_decimal(bare[len(sign):], field=field)
    if number.is_signed():
        raise OutOfRange(field, text, N_("0 RLU or more"))
    if sign and not number:
        raise OutOfRange(field, text, N_("a number above 0 after < or >"))
    if sign == "<":
        return 0.0, float(number)
    if sign == ">":
        return float(number), math.inf
    if not number:
        return 0.0, float(Decimal(1).scaleb(int(number.as_tuple().exponent)))
    return float(number), float(number)


def parse_volume_ml(text: str, *, field: str = "volume_ml") -> float:
    """Return a volume in mL from ``5 L``, ``750 ml`` or ``5000`` (no unit: mL); above 0.

    Examples
    --------
    >>> parse_volume_ml("5 L"), parse_volume_ml("0,75 l"), parse_volume_ml("5000")
    (5000.0, 750.0, 5000.0)
    """
    number, unit = _with_unit(text, field)
    name = (unit or "ml").casefold()
    if name not in ML_PER:
        raise UnknownName(field, unit, ("ml", "cl", "dl", "L", "m3"))
    if number <= 0:
        raise OutOfRange(field, text, N_("more than 0 mL"))
    return float(number) * ML_PER[name]


def parse_temperature_c(text: str, *, field: str = "temp_c") -> float:
    """Return a temperature in °C from ``20``, ``20 °C``, ``68 °F`` or ``293.15 K`` (no unit: °C).

    Examples
    --------
    >>> parse_temperature_c("68 F"), round(parse_temperature_c("293.15 K"), 2)
    (20.0, 20.0)
    """
    number, unit = _with_unit(text, field)
    name = unit.replace("°", "").casefold() or "c"
    if name not in ("c", "f", "k"):
        raise UnknownName(field, unit, ("°C", "°F", "K"))
    value = float(number)
    temp_c = {"c": value, "f": (value - 32.0) / 1.8, "k": value + ABSOLUTE_ZERO_C}[name]
    if temp_c <= ABSOLUTE_ZERO_C:
        raise OutOfRange(field, text, N_("above -273.15 °C"))
    return temp_c


def parse_strength(text: str, *, density_kg_l: float | None = None, ppm: str | None = None,
                   field: str = "strength") -> Strength:
    """Return a strength in mg/L from a number with its unit; a bare number, "%" or "ppm" is asked about.

    Parameters
    ----------
    text : str
        ``1000 mg/L``, ``1 g/L``, ``0.1 % w/v``; ``4 % w/w`` and ``mg/kg`` where the density is given; ``ppm`` where
        its reading is given. 0 or more.
    density_kg_l : float, optional
        Density of the solution at the temperature of use, kg/L, above 0.
    ppm : {"mg/L", "mg/kg"}, optional
        What "ppm" means here; the two differ by the density, 10 % in a concentrate of 1.1 kg/L.

    Raises
    ------
    TersumError
        ``ambiguous-strength`` where the unit has several readings and none was stated.

    Examples
    --------
    >>> parse_strength("0.1 % w/v").mg_l
    1000.0
    >>> parse_strength("4 % w/w", density_kg_l=1.09)
    Strength(mg_l=43600.0, reading='% w/w', density_kg_l=1.09)
    >>> parse_strength("1000 ppm", ppm="mg/L").reading
    'mg/L'
    """
    number, unit = _with_unit(text, field)
    if number < 0:
        raise OutOfRange(field, text, N_("0 or more"))
    name = unit.casefold().replace(" ", "").replace("μ", "µ")
    if name == "ppm" and ppm is not None:
        if ppm not in PPM_READINGS:
            raise UnknownName("ppm", ppm, PPM_READINGS)
        name = ppm.casefold()
    if name in MG_L_PER:
        return Strength(float(number) * MG_L_PER[name], _spelled(name))
    if name in ("%w/w", "mg/kg"):
        return _by_mass(float(number), name, density_kg_l, field, text)
    raise _which_strength(name, unit, field, text)


def mg_l_from_ww(strength_ww_pct: float, density_kg_l: float) -> float:
    """Return mg/L from percent by mass and the density, kg/L: 10 g/L per percent and kg/L.

    >>> mg_l_from_ww(4.0, 1.09)
    43600.0
    """
    return strength_ww_pct * density_kg_l * 10.0 * 1000.0


def coded(code: str, message: str, field: str, value: object, accepted: str, **places: object) -> TersumError:
    """Return a refusal with a code of its own; ``message`` and ``accepted`` are msgids."""
    error = TersumError(message, field=field, value=value, accepted=accepted, **places)
    error.code = code
    return error


def _with_unit(text: str, field: str) -> tuple[Decimal, str]:
    found = _NUMBER_THEN_UNIT.fullmatch(text.strip(" \t\r\n"))
    if found is None:
        raise _not_a_number(field, text, text)
    return parse_decimal(found.group(1), field=field), (found.group(2) or "").strip()


def _by_mass(number: float, name: str, density_kg_l: float | None, field: str, text: str) -> Strength:
    if density_kg_l is None:
        raise coded("ambiguous-strength", N_("{field} is by mass: got {value}; accepted: {accepted}."), field, text,
                    N_("a strength by mass together with the density, or mg/L"))
    if not (math.isfinite(density_kg_l) and density_kg_l > 0):
        raise OutOfRange("density_kg_l", density_kg_l, N_("more than 0 kg/L"))
    if name == "mg/kg":
        return Strength(number * density_kg_l, "mg/kg", density_kg_l)
    return Strength(mg_l_from_ww(number, density_kg_l), "% w/w", density_kg_l)


def _which_strength(name: str, unit: str, field: str, text: str) -> TersumError:
    asked = N_("{field} has more than one reading: got {value}; which is meant? Accepted: {accepted}.")
    if name == "ppm":
        return coded("ambiguous-strength", asked, field, text, N_("mg/L, mg/kg, or ppm with its reading stated"))
    if name == "%":
        return coded("ambiguous-strength", asked, field, text, N_("% w/v, or % w/w with the density"))
    if not name:
        return coded("ambiguous-strength", N_("{field} has no unit: got {value}; accepted: {accepted}."), field, text,
                     "{names}", names=", ".join(STRENGTH_UNITS))
    return UnknownName(field, unit, STRENGTH_UNITS)


def _spelled(name: str) -> str:
    return "% w/v" if name == "%w/v" else name.replace("/l", "/L").replace("/ml", "/mL")


# What is wrong with a text that is no plain number: the first that fits is said.
_WRONG: tuple[tuple[str, str], ...] = (
    (r"\Z", N_("{field} is empty: got {value}; accepted: {accepted}.")),
    (r"(?s:.*)\x00", N_("{field} holds a NUL character: got {value}; accepted: {accepted}.")),
    (r"[^0-9]*[0-9.,]+[eE][+-]?[0-9]", N_("{field} has an exponent: got {value}; accepted: {accepted}.")),
    (r"(?i:[+-]?(inf|infinity|nan)\Z)", N_("{field} is not a finite number: got {value}; accepted: {accepted}.")),
    (r"[^+-]*[+-](?s:.*)[+-]", N_("{field} has two signs: got {value}; accepted: {accepted}.")),
    (r"[^.,]*[.,](?s:.*)[.,]", N_("{field} has two decimal marks: got {value}; accepted: {accepted}.")),
    (r"[^\s]*[0-9.,+-]\s+[^\s]", N_("{field} has a blank inside: got {value}; accepted: {accepted}.")),
    (r"[+-]?[.,]?\Z", N_("{field} has no digits: got {value}; accepted: {accepted}.")),
    (r"[+-]?([.,][0-9]+|[0-9]+[.,])\Z", N_("{field} has a mark without digits on both sides: got {value}; "
                                            "accepted: {accepted}.")),
    (r"[+-]?[0-9.,]+\Z", N_("{field} has more than {most} digits: got {value}; accepted: {accepted}.")),
)


def _not_a_number(field: str, text: str, bare: str) -> TersumError:
    other = N_("{field} has a character that is not a digit: got {value}; accepted: {accepted}.")
    # The start of a text is enough to name its fault, and keeps a page-long one from costing time.
    message = next((told for pattern, told in _WRONG if re.match(pattern, bare[:80])), other)
    return coded("not-a-number", message, field, text, N_("digits 0 to 9 with at most one . or , such as 42.6"),
                 most=MOST_DIGITS)
