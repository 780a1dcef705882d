"""All that is kept of one person or note, as a page that opens anywhere, as JSON and as a table."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from typing import Any

from tersum.documents.text import _
from tersum.records.subjects import Mention, Subject

HEADINGS = ("sequence", "utc", "type", "role", "visit_id", "rows")


def person_fields(organisation: str, subject: Subject, named: Sequence[Mention]) -> dict[str, Any]:
    """Return everything as JSON carries it."""
    return {
        "organisation": organisation, "subject_id": subject.subject_id, "kind": subject.kind,
        "values": [{"field": one.field, "version": one.version, "value": one.value, "may_be_erased": one.erasable}
                   for one in subject.values],
        "facts": [{"sequence": one.fact.sequence, "utc": one.fact.when.utc, "type": one.fact.type, "role": one.role,
                   "visit_id": one.fact.data.get("visit_id"), "rows": list(one.rows)} for one in named]}


def person_rows(named: Sequence[Mention]) -> list[list[object]]:
    """Return a row under ``HEADINGS`` for each fact."""
    return [[one.fact.sequence, one.fact.when.utc, one.fact.type, one.role, one.fact.data.get("visit_id"),
             len(one.rows)] for one in named]


def person_page(organisation: str, subject: Subject, named: Sequence[Mention]) -> str:
    """Return a page of plain HTML without script, style from elsewhere, or link."""
    roles = {"words": _("holds the words as a keyed hash"), "took-part": _("names the person by the number"),
             "entered": _("was entered by the person")}
    title = _("What is kept: {shown}").format(shown=subject.shown)
    values = "".join(f"<tr><td>{escape(one.field)}</td><td>{one.version}</td><td>{escape(one.value)}</td></tr>"
                     for one in subject.values)
    rows = "".join(f"<tr><td>{one.fact.sequence}</td><td>{escape(one.fact.when.utc[:16].replace('T', ' '))}</td>"
                   f"<td>{escape(one.fact.type)}</td><td>{escape(roles[one.role])}</td><td>{_readings(one)}</td></tr>"
                   for one in named)
    return (f'<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><title>{escape(title)}</title>'
            "<style>body{font:1rem/1.5 sans-serif;max-width:60rem;margin:2rem auto;padding:0 1rem}"
            "table{border-collapse:collapse;width:100%}td,th{border-bottom:1px solid;padding:.3rem .6rem;"
            "text-align:left;vertical-align:top}</style></head>"
            f"<body><h1>{escape(title)}</h1><p>{escape(organisation)}, {escape(subject.subject_id)}</p>"
            f"<h2>{escape(_('Values'))}</h2><table><tr><th>{escape(_('Field'))}</th><th>{escape(_('Version'))}</th>"
            f"<th>{escape(_('Value'))}</th></tr>{values}</table>"
            f"<h2>{escape(_('Facts that name this number'))}</h2><table><tr><th>{escape(_('No.'))}</th>"
            f"<th>{escape(_('When (UTC)'))}</th><th>{escape(_('Type'))}</th><th>{escape(_('How'))}</th>"
            f"<th>{escape(_('Readings'))}</th></tr>{rows}</table></body></html>\n")


def _readings(one: Mention) -> str:
    return "<br>".join(escape(", ".join(f"{key} {row[key]}" for key in ("point", "stage", "raw") if key in row))
                       for row in one.rows)
