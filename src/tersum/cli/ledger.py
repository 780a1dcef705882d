"""The command ``tersum ledger``: check the sealed facts, rebuild the tables made from them, list them."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from tersum.cli.output import emit_json, remark, table
from tersum.documents.text import _, ngettext
from tersum.errors import N_, OutOfRange

if TYPE_CHECKING:
    from tersum.records.facts import Fact, Head
    from tersum.records.findings import Finding
    from tersum.records.store import Store

_ORGANISATION = click.option("--organisation", metavar="SLUG", help=_("Short name; needed where there are several."))
_JSON = click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))


@click.group(help=_("Check the sealed facts, or rebuild the tables made from them."))
def ledger() -> None:
    pass


@ledger.command(help=_("Check every fact, row, table and verdict against what was sealed; exit 1 names what differs."),
                epilog=_("Example: tersum ledger check --head-from visit-0001.json. Only a head kept outside this "
                         "machine shows that the newest facts were cut off or that all were written anew. "
                         "Exit codes: 0 nothing found; 1 found; 4 no such organisation; 7 storage."))
@_ORGANISATION
@click.option("--head", "heads", multiple=True, metavar="SEQ:HASH", help=_("A head that was remembered outside."))
@click.option("--head-from", "files", multiple=True, type=click.Path(path_type=Path, dir_okay=False), metavar="FILE",
              help=_("An earlier JSON output; its head is the remembered one."))
@_JSON
@click.pass_context
def check(ctx: click.Context, organisation: str | None, heads: tuple[str, ...], files: tuple[Path, ...],
          as_json: bool) -> None:
    from tersum.records import ledger as ledgers
    from tersum.records.home import data_home
    from tersum.records.store import open_store
    from tersum.records.visits import recomputed

    slugs = _slugs(organisation)
    remembered = [ledgers.head_from(text) for text in (*heads, *map(_head_in, files))]
    if remembered and len(slugs) > 1:
        raise click.UsageError(_("A remembered head belongs to one organisation: add --organisation."))
    reports = []
    for slug in slugs:
        with open_store(data_home(), slug) as store:
            reports.append(_report(slug, store, ledgers.check(store, remembered, recompute=recomputed)))
    if as_json:
        emit_json("tersum/ledger/1", {"ok": all(one["ok"] for one in reports),
                                      "head": reports[0]["head"] if len(reports) == 1 else None,
                                      "organisations": reports})
    else:
        _tell(reports, bool(remembered))
    ctx.exit(0 if all(one["ok"] for one in reports) else 1)


@ledger.command(help=_("Make the tables that pages read again from the sealed facts."),
                epilog=_("Example: tersum ledger rebuild --organisation example-minibuses. Facts that were changed are "
                         "not built upon: then nothing is rebuilt and the exit code is 1."))
@_ORGANISATION
@_JSON
@click.pass_context
def rebuild(ctx: click.Context, organisation: str | None, as_json: bool) -> None:
    from tersum.records import ledger as ledgers
    from tersum.records.home import data_home
    from tersum.records.store import open_store

    with open_store(data_home(), one_slug(organisation)) as store:
        broken = [one for one in ledgers.check(store) if one.grave and not one.code.startswith("table-")]
        rows = None if broken else store.rebuild()
        head = _text(store.head())
    if as_json:
        emit_json("tersum/ledger/1", {"ok": not broken, "head": head, "rows": rows,
                                      "findings": [_finding(one) for one in broken]})
    elif broken:
        for one in broken:
            click.echo(_finding(one)["sentence"])
        remark(_("Nothing was rebuilt: the facts themselves were changed. Restore a backup."))
    else:
        click.echo(ngettext("Rebuilt {rows} row.", "Rebuilt {rows} rows.", rows or 0).format(rows=rows))
    ctx.exit(1 if broken else 0)


@ledger.command(help=_("List the sealed facts: number, time, type, and what corrects what."),
                epilog=_("Example: tersum ledger show --visit EX-0001 --json"))
@_ORGANISATION
@click.option("--visit", metavar="NAME", help=_("Only the facts of this visit (name or id)."))
@click.option("--type", "kind", metavar="TYPE", help=_("Only facts of this type."))
@_JSON
def show(organisation: str | None, visit: str | None, kind: str | None, as_json: bool) -> None:
    from tersum.records.fact_types import NAMES
    from tersum.records.home import data_home
    from tersum.records.store import open_store

    if kind is not None and kind not in NAMES:
        raise click.BadParameter(_("one of {names}").format(names=", ".join(NAMES)), param_hint="--type")
    with open_store(data_home(), one_slug(organisation)) as store:
        facts = store.facts(type=kind, visit_id=_visit_id(store, visit))
        head = _text(store.head())
    if as_json:
        emit_json("tersum/ledger/1", {"head": head, "facts": [
            {"hash": one.hash, **one.envelope, "rows": [one.row(place) for place in range(len(one.rows))]}
            for one in facts]})
        return
    numbers = {one.fact_id: one.sequence for one in facts}
    table([_("No."), _("When (UTC)"), _("Type"), _("Corrects"), _("Fact"), _("Hash")],
          [_line(one, numbers) for one in facts], right=(0,))
    remark(_("Head: {head}").format(head=head))


def _line(fact: Fact, numbers: dict[str, int]) -> list[object]:
    named = fact.corrects
    corrects = f"{numbers.get(named.fact_id, named.fact_id)} ({named.reason})" if named else ""
    return [fact.sequence, fact.when.utc[:19].replace("T", " "), fact.type, corrects, fact.fact_id, fact.hash[:16]]


def _visit_id(store: Store, visit: str | None) -> str | None:
    from tersum.records.trouble import NoStore

    if visit is None:
        return None
    known = {row["visit"]: row["visit_id"] for row in store.table("visits")}
    if visit not in known and visit not in known.values():
        raise NoStore(N_("There is no visit {value}. Known: {known}."), field="visit", value=visit,
                      known=", ".join(known) or "-")
    return str(known.get(visit, visit))


def _slugs(organisation: str | None) -> list[str]:
    from tersum.records.home import data_home, organisation_id, organisations
    from tersum.records.trouble import NoStore

    if organisation is not None:
        organisation_id(data_home(), organisation)
        return [organisation]
    known = list(organisations(data_home()))
    if not known:
        raise NoStore(N_("There is no organisation in {value} yet: tersum visit makes the first."),
                      field="organisation", value=str(data_home()))
    return known


def one_slug(organisation: str | None) -> str:
    """Return the short name that is meant: the one given, or the only one there is."""
    slugs = _slugs(organisation)
    if len(slugs) > 1:
        raise click.UsageError(_("There are several organisations: add --organisation, one of {names}.").format(
            names=", ".join(slugs)))
    return slugs[0]


def _head_in(path: Path) -> str:
    """Return the head that an earlier output names, as text or as number and hash."""
    try:
        found: Any = json.loads(path.read_bytes())["head"]
        return str(found if isinstance(found, str) else f"{found['sequence']}:{found['hash']}")
    except (ValueError, LookupError, TypeError) as fault:
        raise OutOfRange("head-from", str(path), N_("a JSON file with a head in it")) from fault


def _report(slug: str, store: Store, findings: list[Finding]) -> dict[str, Any]:
    head = store.head()
    return {"organisation": slug, "organisation_id": store.organisation_id,
            "ok": not any(one.grave for one in findings), "facts": head.sequence if head else 0, "head": _text(head),
            "findings": [_finding(one) for one in findings]}


def _finding(finding: Finding) -> dict[str, Any]:
    from tersum.documents.findings import sentence

    return {"code": finding.code, "grave": finding.grave, "sequence": finding.sequence,
            "fact_id": _shown(finding.fact_id), "type": _shown(finding.type),
            "parameters": {name: _shown(value) for name, value in finding.parameters.items()},
            "sentence": sentence(finding)}


def _shown(value: object) -> object:
    """Return a value as JSON can carry it: in a changed ledger, anything may stand anywhere."""
    return value if value is None or isinstance(value, str | int | dict | list) else str(value)


def _text(head: Head | None) -> str | None:
    return str(head) if head else None


def _tell(reports: list[dict[str, Any]], remembered: bool) -> None:
    for one in reports:
        for finding in one["findings"]:
            click.echo(finding["sentence"])
        if one["ok"]:
            click.echo(ngettext("{organisation}: {facts} fact, each as it was sealed. Head {head}",
                                "{organisation}: {facts} facts, each as it was sealed. Head {head}",
                                one["facts"]).format(**one))
        else:
            remark(_("{organisation}: not as it was sealed. Restore a backup, or keep this file as it is for whoever "
                     "looks into it.").format(**one))
    if not remembered:
        remark(_("No head kept outside was given (--head, --head-from): facts cut off at the end would not show."))


def organisation_store(organisation: str | None) -> Store:
    """Open the store of the organisation that is meant: the one given, or the only one there is."""
    from tersum.records.home import data_home
    from tersum.records.store import open_store

    return open_store(data_home(), one_slug(organisation))
