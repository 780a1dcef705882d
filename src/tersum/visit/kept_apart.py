"""What must not meet: steps of a plan whose products meet although they must not, and rinses that were left out."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from tersum.catalogue.product import Product
from tersum.errors import N_, TersumError
from tersum.visit.meetings import IN_A_CLOTH, IN_A_VESSEL, ON_A_SURFACE, Meeting, meetings
from tersum.visit.steps import Step

SETTINGS = (ON_A_SURFACE, IN_A_VESSEL, IN_A_CLOTH)
# Why two products must not meet in a setting, as a msgid; None where nothing forbids it.
Forbids = Callable[[Product, Product, str], str | None]

_MEETS = {
    ON_A_SURFACE: N_("step {second} must not follow step {first} on {name} surfaces: {accepted} Only a rinsing step "
                     "between them that names {name} parts them; nothing overrides that."),
    IN_A_VESSEL: N_("step {second} must not share {name} with step {first}: {accepted} Only a rinsing step between "
                    "them that rinses and drains {name} parts them; nothing overrides that."),
    IN_A_CLOTH: N_("step {second} must not share the cloths {name} with step {first}: {accepted} Only a rinsing step "
                   "between them that rinses {name} parts them; nothing overrides that."),
}
_MEETS_UNNAMED = {
    ON_A_SURFACE: N_("step {second} must not follow step {first} on one surface: {accepted} The steps do not say which "
                     "surfaces are theirs: name them, or another way is needed; nothing overrides that."),
    IN_A_VESSEL: N_("step {second} must not share a bucket, tank or can with step {first}: {accepted} The steps do "
                    "not name theirs, so they count as shared: name the vessels; nothing overrides that."),
    IN_A_CLOTH: N_("step {second} must not share a cloth with step {first}: {accepted} The steps do not name theirs, "
                   "so they count as shared: name the cloths; nothing overrides that."),
}


class MustNotMeet(TersumError):
    """Two products of a plan meet that must not; there is no override."""

    code = "must-not-meet"
    exit_code = 5


@dataclass(frozen=True)
class Unrinsed:
    """Two steps that were carried out and met, since the rinsing between them is not on record."""

    first: str
    second: str
    setting: str
    name: str


def must_not_meet(steps: Sequence[Step], products: Mapping[str, Product], forbids: Forbids) -> Iterator[MustNotMeet]:
    """Yield one refusal for each place at which two products of a plan meet that must not.

    Parameters
    ----------
    steps : sequence of Step
        In order.
    products : mapping
        Each product by the name that the steps give it.
    forbids : callable
        Tells why two products must not meet in a setting, or None.
    """
    for one in meetings(steps):
        why = forbids(products[one.first.product], products[one.second.product], one.setting)
        if why is not None:
            yield _refusal(one, why)


def kept_apart(steps: Sequence[Step], products: Mapping[str, Product], forbids: Forbids) -> tuple[tuple[str, str], ...]:
    """Return the steps of a plan that must never meet, whatever lies between them; sealed with the plan."""
    return tuple((one.id, two.id) for one, two in combinations([step for step in steps if step.product], 2)
                 if one.product != two.product
                 and any(forbids(products[one.product], products[two.product], setting) for setting in SETTINGS))


def unrinsed(done: Sequence[Step], apart: Sequence[tuple[str, str]]) -> tuple[Unrinsed, ...]:
    """Return what met although the plan kept it apart.

    Parameters
    ----------
    done : sequence of Step
        The steps on record, in the order in which they were carried out.
    apart : sequence of pairs of step ids
        From :func:`kept_apart`.
    """
    pairs = {frozenset(pair) for pair in apart}
    return tuple(Unrinsed(one.first.id, one.second.id, one.setting, one.name) for one in meetings(done)
                 if frozenset((one.first.id, one.second.id)) in pairs)


def _refusal(one: Meeting, why: str) -> MustNotMeet:
    said = (_MEETS if one.name else _MEETS_UNNAMED)[one.setting]
    return MustNotMeet(said, field=f"step {one.second.id}", value=one.second.product, accepted=why,
                       first=one.first.id, second=one.second.id, name=one.name)
