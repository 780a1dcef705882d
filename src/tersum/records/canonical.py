"""One value, one byte form: RFC 8785 JSON without floats, so that no binary fraction ever enters a hash."""

from __future__ import annotations

import dataclasses
import json
import unicodedata
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any, NoReturn, TypeAlias

import rfc8785

from tersum.errors import N_, Faults, OutOfRange, TersumError

Json: TypeAlias = "None | bool | int | str | list[Json] | dict[str, Json]"

LARGEST_WHOLE = 2**53 - 1  # RFC 8785 section 3.2.2.3 and RFC 7493 section 2.2: whole numbers every reader can hold
_ENCODER = json.JSONEncoder(ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False)
_MOST_PLACES = 400  # every float fits; Decimal("1E+999999999") would write a gigabyte of zeros
DEEPEST = 60  # a fact is a few levels deep; a hostile one must not exhaust the stack


def canonical(value: object) -> bytes:
    """Return the one byte form of a value.

    Parameters
    ----------
    value : None, bool, int, str, Decimal, list, tuple or dict with text keys
        Text is brought to Unicode normal form C; a ``Decimal`` becomes its plain text (see :func:`decimal_text`).

    Returns
    -------
    bytes
        UTF-8, keys in the order of RFC 8785 section 3.2.3, no blanks.

    Raises
    ------
    Faults
        With every place at which the value cannot be written: floats, NaN, whole numbers beyond ±(2**53 - 1), lone
        surrogates, keys that are not text or become the same key after normalisation, other types.

    Source
    ------
    RFC 8785 (2020), sections 3.2.2 and 3.2.3; floats are left out, decimals go as text.

    Examples
    --------
    >>> canonical({"wet_min": Decimal("10.50"), "looks": 2})
    b'{"looks":2,"wet_min":"10.50"}'
    """
    return written(normalised(value))


def normalised(value: object) -> Json:
    """Return the value as it will be written: text in normal form C, decimals as text, tuples as lists.

    Examples
    --------
    >>> normalised(("e\\u0301", None)) == ["\\u00e9", None]
    True
    """
    faults: list[TersumError] = []
    kept = _normal("", value, faults, 0)
    if faults:
        raise Faults(faults)
    return kept


def written(value: Json) -> bytes:
    """Return the bytes of a value that :func:`normalised` has returned.

    The encoder of the standard library writes the same bytes six times as fast, as long as every key is ASCII: its
    order of keys differs from that of RFC 8785 only beyond. A property test holds the two together.
    """
    text = _ENCODER.encode(value)
    if text.isascii() or _plain_keys(value):
        return text.encode("utf-8")
    return rfc8785.dumps(value)


def parsed(body: bytes) -> Json:
    """Return the value of canonical bytes; bytes in any other form are refused.

    Raises
    ------
    OutOfRange
        If the bytes are not the canonical form of what they say.

    Examples
    --------
    >>> parsed(b'{"looks":2}')
    {'looks': 2}
    """
    try:
        value = json.loads(body.decode("utf-8"), object_pairs_hook=_unrepeated, parse_float=_refused,
                           parse_constant=_refused)
        same = canonical(value) == body
    except (ValueError, RecursionError, Faults):
        same = False
    if not same:
        raise OutOfRange("body", body[:60].decode("utf-8", "backslashreplace"), N_("RFC 8785 JSON without floats"))
    kept: Json = value
    return kept


def decimal_text(value: Decimal | int | float, *, digits: int | None = None) -> str:
    """Return a number as plain decimal text, without exponent and without a minus zero.

    Parameters
    ----------
    value : Decimal, int or float
        Finite. A float becomes the shortest text that reads back as the same float.
    digits : int, optional
        Significant digits to round to (half to even), 1 or more; trailing zeros then go.

    Examples
    --------
    >>> decimal_text(Decimal("1E+3")), decimal_text(0.205), decimal_text(0.1 + 0.2, digits=6), decimal_text(-0.0)
    ('1000', '0.205', '0.3', '0')
    """
    number = Decimal(repr(value)) if isinstance(value, float) else Decimal(value)
    if isinstance(value, bool) or not number.is_finite() or abs(number.adjusted()) > _MOST_PLACES:
        raise OutOfRange("value", value, N_("a finite number"))
    if digits is not None or isinstance(value, float):
        number = (Decimal(f"{number:.{digits - 1}e}") if digits is not None else number).normalize()
    text = f"{number:f}"
    return text.lstrip("-") if not number else text


def plain(value: object, *, digits: int | None = None) -> Json:
    """Return dataclasses, mappings, tuples and floats as what a fact can hold.

    Floats become decimal text, of ``digits`` significant digits if given, else so that they read back the same; plus
    infinity becomes None ("no upper bound"); minus infinity and NaN are refused. Data classes may hold what
    :func:`canonical` takes, and mappings of any kind.

    Examples
    --------
    >>> plain({"low_rlu": 412.0, "high_rlu": float("inf")})
    {'low_rlu': '412', 'high_rlu': None}
    """
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {one.name: plain(getattr(value, one.name), digits=digits) for one in dataclasses.fields(value)}
    if isinstance(value, Mapping):
        return {str(key): plain(one, digits=digits) for key, one in value.items()}
    if isinstance(value, Sequence) and not isinstance(value, str | bytes):
        return [plain(one, digits=digits) for one in value]
    if isinstance(value, float):
        return None if value == float("inf") else decimal_text(value, digits=digits)
    return normalised(value)


def _plain_keys(value: Json) -> bool:
    if isinstance(value, dict):
        return all(key.isascii() and _plain_keys(one) for key, one in value.items())
    return all(map(_plain_keys, value)) if isinstance(value, list) else True


def _normal(path: str, value: object, faults: list[TersumError], depth: int) -> Json:
    if value is None or isinstance(value, bool):
        return value
    if isinstance(value, str):
        return _text(path, value, faults)
    if isinstance(value, int):
        if abs(value) > LARGEST_WHOLE:
            faults.append(OutOfRange(path, str(value)[:40], N_("whole numbers up to 9007199254740991 either side")))
        return int(value)
    if isinstance(value, Decimal) and value.is_finite() and abs(value.adjusted()) <= _MOST_PLACES:
        return decimal_text(value)
    if isinstance(value, dict | list | tuple):
        if depth >= DEEPEST:
            faults.append(OutOfRange(path, "...", N_("at most {deepest} levels"), deepest=DEEPEST))
            return None
        if isinstance(value, dict):
            return _mapping(path, value, faults, depth)
        return [_normal(f"{path}/{place}", one, faults, depth + 1) for place, one in enumerate(value)]
    faults.append(OutOfRange(path, value,
                             N_("text, whole numbers, true, false, null, lists, mappings; decimals as text")))
    return None


def _mapping(path: str, value: dict[Any, object], faults: list[TersumError], depth: int) -> dict[str, Json]:
    kept: dict[str, Json] = {}
    for key, one in value.items():
        if type(one) is str and one.isascii() and type(key) is str and key.isascii() and key not in kept:
            kept[key] = one  # nearly every field of every fact
            continue
        if not isinstance(key, str):
            faults.append(OutOfRange(path, key, N_("keys that are text")))
            continue
        name = _text(path, key, faults)
        if name in kept:
            faults.append(OutOfRange(f"{path}/{name}", key, N_("each key once, also after Unicode normalisation")))
        kept[name] = _normal(f"{path}/{name}", one, faults, depth + 1)
    return kept


def _text(path: str, value: str, faults: list[TersumError]) -> str:
    if value.isascii():
        return str(value)
    if any("\ud800" <= mark <= "\udfff" for mark in value):
        shown = value.encode("ascii", "backslashreplace").decode()
        faults.append(OutOfRange(path, shown, N_("text without half characters")))
        return ""
    return unicodedata.normalize("NFC", value)


def _unrepeated(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    kept = dict(pairs)
    if len(kept) != len(pairs):
        raise ValueError("repeated key")
    return kept


def _refused(text: str) -> NoReturn:
    raise ValueError(text)
