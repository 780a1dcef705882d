"""What a label claims: the target, how long it must stay wet, and the weakest dilution that the claim holds for."""

from __future__ import annotations

from dataclasses import dataclass

from tersum.fields import Fields


@dataclass(frozen=True)
class Claim:
    """One claim. None where the label states no time, or no dilution of its own, for this target."""

    target: str
    contact_min: float | None = None
    weakest_ratio: str | None = None


def claims_of(keys: Fields) -> tuple[Claim, ...]:
    """Return the ``claim`` tables of a product."""
    return tuple(_claim(one) for one in keys.tables("claim", most=40))


def _claim(keys: Fields) -> Claim:
    claim = Claim(keys.text("target", most=60), keys.optional_number("contact_min", above=0.0, most=24.0 * 60),
                  keys.optional_text("weakest_ratio"))
    keys.close()
    return claim
