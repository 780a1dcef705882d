"""Which cautions and protection a product and a step call for: keys, which the documents room puts into words."""

from __future__ import annotations

from collections.abc import Iterable

from tersum.catalogue.load import table
from tersum.chemistry.together import UNKNOWN


def caution_keys(*, h_codes: Iterable[str] = (), classes: Iterable[str] = (), step_kind: str = "") -> tuple[str, ...]:
    """Return the keys of every caution that hazard codes, chemical classes or a kind of step call for.

    Parameters
    ----------
    h_codes : iterable of str
        H and EUH codes to protect people by: those that cannot be excluded are among them.
    classes : iterable of str
        Of :func:`tersum.chemistry.together.classes_of`. Where one is not known, the cautions of every class are given.
    step_kind : str
        Kind of a step of a plan, empty for none.

    Examples
    --------
    >>> caution_keys(h_codes=["H319"]), caution_keys(step_kind="dry")
    (('glasses-and-gloves', 'concentrate-to-water'), ('exhaust',))
    """
    codes, held = {code[:4] if code.startswith("H") else code for code in h_codes}, set(classes)
    found = []
    for key, entry in table("cautions").items():
        by_code = codes & set(entry.labels["hazards"])
        by_class = held & set(entry.labels["classes"]) or (UNKNOWN in held and entry.labels["classes"])
        if by_code or by_class or step_kind in entry.labels["steps"]:
            found.append(key)
    return tuple(found)
