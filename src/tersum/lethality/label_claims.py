"""What a claim word on a label covers: the organisms of its class and no others; never upwards, never for spores."""

from __future__ import annotations

from dataclasses import dataclass

from tersum.catalogue import load
from tersum.errors import UnknownName

COVERED = "covered"
NOT_COVERED = "not-covered"
CANNOT_TELL = "cannot-tell"
_ORDER = "order of resistance"
# Said beside every claim: codes.
CAUTIONS = ("label-names-the-organisms", "never-across-actives", "clean-first", "claim-needs-both-steps")


@dataclass(frozen=True)
class Claim:
    """One claim word: what it covers, what it does not, how that is known and from where."""

    word: str
    covers: tuple[str, ...]
    not_covered: tuple[str, ...]
    known: str
    source: str


def claim_words() -> tuple[str, ...]:
    """Return the claim words that are known."""
    return tuple(word for word in load.table("label_claims") if word != _ORDER)


def claim(word: str) -> Claim:
    """Return what a claim word covers.

    Examples
    --------
    >>> claim("limited virucidal").not_covered[:2], claim("virucidal").known
    (('norovirus', 'adenovirus'), 'memory')
    """
    if word not in claim_words():
        raise UnknownName("claim", word, claim_words())
    one = load.table("label_claims")[word]
    return Claim(word, _names(one["covers"].value), _names(one["not_covered"].value), one["covers"].known,
                 one["covers"].source)


def covers(word: str, organism: str) -> str:
    """Return whether a claim word covers an organism or class; ``cannot-tell`` where neither list names it.

    The order of resistance is not used to fill the gap: it is a rule of thumb across classes, and a claim reaches no
    further than the organisms it was tested on.

    Examples
    --------
    >>> [covers("limited virucidal", one) for one in ("Influenza", "norovirus", "hepatitis E")]
    ['covered', 'not-covered', 'cannot-tell']
    """
    found, wanted = claim(word), organism.strip().casefold()
    if wanted in (one.casefold() for one in found.not_covered):
        return NOT_COVERED
    return COVERED if wanted in (one.casefold() for one in found.covers) else CANNOT_TELL


def resistance_order() -> tuple[str, ...]:
    """Return classes of organisms, the most resistant first.

    Source
    ------
    CDC 2008, Figure 1 (read). Textbooks swap fungi and non-enveloped viruses by species.

    Examples
    --------
    >>> resistance_order()[:2]
    ('prions', 'bacterial spores')
    """
    return _names(load.table("label_claims")[_ORDER]["classes"].value)


def _names(value: object) -> tuple[str, ...]:
    return tuple(str(one) for one in value) if isinstance(value, tuple) else (str(value),)
