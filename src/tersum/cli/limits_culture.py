"""The part of ``tersum limits learn`` that takes plates: the reading that separates best, by class of surface."""

from __future__ import annotations

import hashlib
from dataclasses import asdict
from pathlib import Path
from typing import Any

import click

from tersum.cli.output import emit_json, line, remark
from tersum.documents.text import _
from tersum.errors import N_, OutOfRange


def learn_from_plates(paths: tuple[str, ...], given: dict[str, Any], day: str, *, as_json: bool) -> tuple[bool, Any]:
    """Print the cut of each surface; return whether all have one, and the rows of a limits file."""
    import numpy as np

    from tersum.cli.limits import number
    from tersum.documents import limits_text
    from tersum.evidence.culture_cut import culture_cut
    from tersum.records.evidence_tables import read_pairs
    from tersum.records.intake import open_input

    if given["limit_cfu"] is None or given["instrument"] is None:
        raise click.UsageError(_("--method culture needs --limit-cfu and --instrument."))
    limit_cfu, hashed = number("--limit-cfu", given["limit_cfu"]), hashlib.sha256()
    rows: list[dict[str, Any]] = []
    for path in paths:
        table = read_pairs(path)
        if not table.rapid:
            raise OutOfRange("READINGS.csv", path, N_("a table with the columns rlu and cfu"))
        rows += table.rows
        with open_input(path) as stream:
            hashed.update(hashlib.sha256(stream.read()).digest())
    made = {}
    for surface in given["wanted"] or sorted({row["surface"] for row in rows}):
        own = [row for row in rows if row["surface"] == surface]
        made[surface] = culture_cut([row["rlu"][0] for row in own], [row["rlu"][1] for row in own],
                                    [row["cfu"] for row in own], limit_cfu=limit_cfu,
                                    rng=np.random.default_rng(given["seed"]),
                                    only_passed=given["visits"] == "passed")
    whole = bool(made) and all(found.cut is not None for found in made.values())
    if as_json:
        emit_json("tersum/limits-learnt/1", {
            "method": "culture", "limit_cfu": limit_cfu, "seed": given["seed"], "readings_sha256": hashed.hexdigest(),
            "frozen_on": day, "surfaces": [{"surface": surface, **asdict(found)} for surface, found in made.items()]})
    else:
        for surface, found in made.items():
            for text in limits_text.culture_lines(surface or _("surface not named"), found):
                line(text)
        if any(found.cut is not None for found in made.values()):
            for text in limits_text.culture_beside_lines():
                remark(text)
    return whole, [(surface, found, hashed.hexdigest()) for surface, found in made.items()]


def write_cuts(out: Path, rows: Any, given: dict[str, Any], area: float, day: str) -> None:
    """Write the cuts as limits; a class without a name gets none."""
    from tersum.documents import limits_text
    from tersum.records.limits_learnt import limits_text_of
    from tersum.visit.plan import Limit

    if any(not surface for surface, _found, _sha in rows):
        raise OutOfRange("surface", "", N_("a surface in each row, to write a limit for it"))
    text = limits_text_of([(Limit(given["instrument"], given["swab"], area, surface, round(found.cut.cut, 6),
                                  limits_text.culture_basis(found, day), "computed"),
                            limits_text.culture_note(found, sha), None) for surface, found, sha in rows])
    with out.open("x", encoding="utf-8") as stream:
        stream.write(text)
