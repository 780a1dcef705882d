"""Results against published figures: absolute tolerance by result name, exact where none is stated."""

from __future__ import annotations

from typing import Any


def differences(results: dict[str, Any], expected: dict[str, Any], tolerance: dict[str, float]) -> list[str]:
    """Return one sentence per named result that is missing or off; an empty list if all agree."""
    wrong = []
    for name, wanted in expected.items():
        if name not in results:
            wrong.append(f"{name}: not returned")
        elif not agrees(results[name], wanted, tolerance.get(name)):
            within = "exactly" if tolerance.get(name) is None else f"within {tolerance[name]}"
            wrong.append(f"{name}: got {results[name]!r}, published {wanted!r} ({within})")
    return wrong


def agrees(found: Any, wanted: Any, tolerance: float | None) -> bool:
    """Tell whether a result agrees: lists place by place under one tolerance, texts and truth values exactly."""
    if hasattr(found, "tolist"):
        found = found.tolist()
    if isinstance(wanted, list):
        return (isinstance(found, list | tuple) and len(found) == len(wanted)
                and all(agrees(one, other, tolerance) for one, other in zip(found, wanted, strict=True)))
    if isinstance(wanted, dict):
        return (isinstance(found, dict) and set(found) == set(wanted)
                and all(agrees(found[name], wanted[name], tolerance) for name in wanted))
    if _is_number(found) and _is_number(wanted) and tolerance is not None:
        return bool(abs(found - wanted) <= tolerance)  # false for NaN, as it must be
    # A truth value is no number: True must not pass for 1.
    return isinstance(found, bool) == isinstance(wanted, bool) and bool(found == wanted)


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)
