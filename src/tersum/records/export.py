"""Files that are handed on: decisions as JSON, CSV and Markdown, each written whole or not at all."""

from __future__ import annotations

import csv
import io
import json
import os
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import asdict
from itertools import chain
from pathlib import Path
from typing import IO, Any

from tersum.visit.decision import Decision, Reason, ReductionStatement, Terms

DECISIONS_SCHEMA = "tersum/decisions/1"
# A cell that begins so is taken for a formula by a spreadsheet, and runs there.
_FORMULA = ("=", "+", "-", "@", "\t", "\r")
_MARKDOWN = re.compile(r"([\\`*_{}\[\]<>#|~!&])")
_CSV_FIELDS = ("point", "stage", "round", "verdict", "reason", "n", "mean_operator", "geometric_mean_rlu",
               "p_conform", "limit_rlu", "release_level_rlu", "looks_left")
_REDUCTION_FIELDS = ("factor", "percent", "log10", "low", "high", "operator", "met")
# Words in CSV, because a spreadsheet takes "=" and its like for the start of a formula.
_OPERATORS = {"=": "equal", "<=": "at-most", ">=": "at-least", "between": "between", "?": "cannot-tell"}
CSV_HEADINGS = (*_CSV_FIELDS, *(f"reduction_{name}" for name in _REDUCTION_FIELDS), "remarks")


def decision_fields(decision: Decision) -> dict[str, Any]:
    """Return a decision as JSON carries it; infinite numbers do not occur in one."""
    return {
        "point": decision.point, "stage": decision.stage, "round": decision.round, "verdict": decision.verdict,
        "reason": _reason_fields(decision.reason), "n": decision.n,
        "geometric_mean_rlu": decision.geometric_mean_rlu, "mean_operator": decision.mean_operator,
        "p_conform": decision.p_conform, "limit_rlu": decision.limit_rlu,
        "release_level_rlu": decision.release_level_rlu, "looks_left": decision.looks_left,
        "reduction": asdict(decision.reduction) if decision.reduction else None,
        "remarks": [_reason_fields(one) for one in decision.remarks],
    }


def decision_from(fields: Mapping[str, Any]) -> Decision:
    """Return the decision that :func:`decision_fields` wrote; lists stand where it had tuples."""
    values = dict(fields)
    reduction = values.pop("reduction")
    return Decision(**{
        **values, "reason": _reason(values["reason"]),
        "reduction": None if reduction is None else ReductionStatement(**reduction),
        "remarks": tuple(map(_reason, values["remarks"]))})


def rule_fields(terms: Terms) -> dict[str, Any]:
    """Return what was agreed before any reading, as JSON carries it; a spread taken as known has no number."""
    known = terms.degrees_of_freedom == float("inf")
    return {
        "name": terms.rule, "version": terms.version, "stage": terms.stage, "looks": terms.looks, "risk": terms.risk,
        "clean_agains": terms.clean_agains, "reduction_target_log10": terms.reduction_target_log10,
        "detection_rlu": terms.detection_rlu,
        "spread": {"log10": terms.spread_log10, "basis": terms.spread_basis, "taken_as_known": known,
                   "degrees_of_freedom": None if known else terms.degrees_of_freedom},
    }


def csv_row(decision: Decision) -> list[object]:
    """Return a decision as a row under ``CSV_HEADINGS``."""
    fields = decision_fields(decision)
    fields |= {"reason": decision.reason.code, "mean_operator": _OPERATORS[decision.mean_operator]}
    reduction = fields["reduction"] or {}
    if reduction:
        reduction |= {"operator": _OPERATORS[reduction["operator"]]}
    return [*(fields[name] for name in _CSV_FIELDS), *(reduction.get(name) for name in _REDUCTION_FIELDS),
            " ".join(dict.fromkeys(one.code for one in decision.remarks))]


def csv_lines(headings: Sequence[str], rows: Iterable[Sequence[object]]) -> Iterator[str]:
    """Yield a table as lines of RFC 4180 CSV: a point as decimal mark, nothing for None, no cell that is a formula."""
    line = io.StringIO()
    writer = csv.writer(line, lineterminator="\r\n")
    for row in chain([headings], rows):
        line.seek(0)
        line.truncate()
        writer.writerow([_harmless(cell) for cell in row])
        yield line.getvalue()


def markdown_lines(title: str, paragraphs: Iterable[str], headings: Sequence[str],
                   rows: Iterable[Sequence[object]]) -> Iterator[str]:
    """Yield a page with one table; whatever Markdown or HTML a cell holds is shown as it stands."""
    yield f"# {_plain(title)}\n\n"
    for paragraph in paragraphs:
        yield f"{_plain(paragraph)}\n\n"
    yield "| " + " | ".join(map(_plain, headings)) + " |\n"
    yield "|" + " --- |" * len(headings) + "\n"
    for row in rows:
        yield "| " + " | ".join(_plain(cell) for cell in row) + " |\n"


def json_object(head: Mapping[str, Any], list_name: str, items: Iterable[str],
                tail: Callable[[], Mapping[str, Any]]) -> Iterator[str]:
    """Yield one JSON object piece by piece: ``head``, a list of ready texts that may be millions, then ``tail``.

    ``tail`` is only called when the list is through, so that it may tell what came up on the way.

    Examples
    --------
    >>> print("".join(json_object({"schema": "s"}, "points", ['{"n": 1}', '{"n": 2}'], lambda: {"faults": []})))
    {"schema": "s",
     "points": [
      {"n": 1},
      {"n": 2}
     ],
     "faults": []}
    <BLANKLINE>
    """
    yield "{" + "".join(f"{json.dumps(name)}: {json_text(value)},\n " for name, value in head.items())
    yield f"{json.dumps(list_name)}: ["
    between = "\n  "
    for item in items:
        yield between + item
        between = ",\n  "
    yield "]" if between == "\n  " else "\n ]"
    for name, value in tail().items():
        yield f",\n {json.dumps(name)}: {json_text(value)}"
    yield "}\n"


def json_text(value: object) -> str:
    """Return a value as JSON text on one line."""
    return json.dumps(value, ensure_ascii=False, allow_nan=False, default=_listed)


@contextmanager
def whole_files(folder: Path, names: Sequence[str]) -> Iterator[list[IO[str]]]:
    """Give text files to write, which stand under their names only once all of them are complete and on the disk.

    Parameters
    ----------
    folder : Path
        Made if it is not there.
    names : sequence of str
        Names of the files in it; files of these names are replaced.
    """
    folder.mkdir(parents=True, exist_ok=True)
    files: list[IO[str]] = []
    try:
        for name in names:
            part = folder / f".{name}.{os.urandom(6).hex()}.part"
            files.append(open(part, "x", encoding="utf-8", newline=""))
        yield files
        for file in files:
            file.flush()
            os.fsync(file.fileno())
            file.close()
        for file, name in zip(files, names, strict=True):
            os.replace(file.name, folder / name)
    finally:
        for file in files:
            file.close()
            Path(file.name).unlink(missing_ok=True)
    _sync_folder(folder)


def _reason_fields(reason: Reason) -> dict[str, Any]:
    return {"code": reason.code, "parameters": dict(reason.parameters)}


def _reason(fields: Mapping[str, Any]) -> Reason:
    return Reason(fields["code"], dict(fields["parameters"]))


def _harmless(cell: object) -> object:
    if isinstance(cell, str) and cell.startswith(_FORMULA):
        return "'" + cell
    return cell


def _plain(cell: object) -> str:
    return _MARKDOWN.sub(r"\\\1", " ".join(str(cell).split())) if cell is not None else ""


def _listed(value: object) -> object:
    if isinstance(value, Mapping):
        return dict(value)
    raise TypeError(f"JSON does not carry {type(value).__name__}")


def _sync_folder(folder: Path) -> None:
    """Put the new names on the disk too, where the system lets a folder be synced."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
