"""Signal word and codes of statements that belong to a set of hazard classes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tersum.catalogue.load import table

SIGNALS = ("danger", "warning", "none")  # strictest first


@dataclass(frozen=True)
class Label:
    """What a label would carry: classes, signal word (``danger``, ``warning`` or ``none``), H-, P- and EUH-codes."""

    classes: tuple[str, ...]
    signal: str
    h_codes: tuple[str, ...]
    p_codes: tuple[str, ...]
    euh_codes: tuple[str, ...]


def label_of(classes: Sequence[str], euh_codes: Sequence[str] = ()) -> Label:
    """Return the label elements of hazard classes.

    Corrosion of skin covers damage to eyes, and the long-term statement on water life covers the short-term one of the
    same strength (article 27 and the notes to the label elements).

    Examples
    --------
    >>> made = label_of(["Skin Corr. 1B", "Eye Dam. 1", "STOT SE 3 H335"])
    >>> made.signal, made.h_codes, made.classes[1]
    ('danger', ('H314', 'H335'), 'Eye Dam. 1')
    """
    rows = [table("hazard_statements")[name] for name in classes]
    signal = min((row["signal"].text for row in rows), key=SIGNALS.index, default="none")
    h_codes = list(dict.fromkeys(row["hazard"].text for row in rows))
    if "H314" in h_codes:
        h_codes = [one for one in h_codes if one != "H318"]
    if "H410" in h_codes:
        h_codes = [one for one in h_codes if one != "H400"]
    p_codes = sorted({code for row in rows for code in row["precautions"].value})
    return Label(tuple(classes), signal, tuple(h_codes), tuple(p_codes), tuple(dict.fromkeys(euh_codes)))


def wording(code: str) -> str:
    """Return the legal wording of a statement.

    >>> wording("H319")
    'Causes serious eye irritation.'
    """
    return table("hazard_statements")[code]["wording"].text
