"""The command ``tersum record``: issued visit records, the evidence beside them, and their withdrawal."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from tersum.cli.ledger import organisation_store
from tersum.cli.output import emit_json, remark, table
from tersum.documents.text import _
from tersum.errors import N_

if TYPE_CHECKING:
    from tersum.records.store import Store

REASONS = ("wrong-place", "wrong-readings", "wrong-plan", "issued-by-mistake", "replaced", "other")
_ORGANISATION = click.option("--organisation", metavar="SLUG", help=_("Short name; needed where there are several."))
_JSON = click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))


@click.group(help=_("List issued visit records, write the evidence beside one, withdraw one."))
def record() -> None:
    pass


@record.command("list", help=_("List the visit records that were issued, and which still count."),
                epilog=_("Example: tersum record list --json"))
@_ORGANISATION
@_JSON
def list_records(organisation: str | None, as_json: bool) -> None:
    with organisation_store(organisation) as store:
        rows = _records(store)
    if as_json:
        emit_json("tersum/records/1", {"records": rows})
        return
    table([_("Number"), _("Issued (UTC)"), _("State"), _("Replaced by")],
          [[one["number"], one["issued_utc"][:19].replace("T", " "), _states()[one["state"]], one["replaced_by"] or ""]
           for one in rows])


@record.command(help=_("Write the evidence bundle of a record: its visit's facts, proven under a head signed now."),
                epilog=_("Example: tersum record bundle EX-0001-00012 --out bundle.json. Whoever has the record, the "
                         "bundle and the number of the company's key checks both with tersum verify, without an "
                         "account or a network. Exit codes: 4 no such record; 6 the file is there already."))
@click.argument("number")
@click.option("--out", type=click.Path(path_type=Path, dir_okay=False), required=True, metavar="FILE",
              help=_("The file to write."))
@_ORGANISATION
def bundle(number: str, out: Path, organisation: str | None) -> None:
    from tersum.records.bundle import evidence_bundle
    from tersum.records.home import data_home
    from tersum.records.keys import signing_key
    from tersum.records.trouble import Conflict

    with organisation_store(organisation) as store:
        moment = store.chain.clock()
        made = evidence_bundle(store, signing_key(data_home(), now=moment), number, moment=moment)
    try:
        with out.open("x", encoding="utf-8") as file:
            json.dump(made, file, ensure_ascii=False, indent=1)
            file.write("\n")
    except FileExistsError:
        raise Conflict(N_("The file {value} is there already and is left as it is. Name another."), field="out",
                       value=str(out)) from None
    click.echo(out)
    remark(_("It tells the state as of now: a record withdrawn later looks in force in it."))


@record.command(help=_("Withdraw a record: it stays genuine, and no longer counts."),
                epilog=_("Example: tersum record withdraw EX-0001-00012 --reason wrong-readings. What was handed over "
                         "cannot be recalled: tell the customer. Exit codes: 4 no such record; 6 withdrawn already."))
@click.argument("number")
@click.option("--reason", type=click.Choice(REASONS), required=True, help=_("Why."))
@click.option("--replaced-by", metavar="NUMBER", help=_("The record that counts instead."))
@_ORGANISATION
@_JSON
def withdraw(number: str, reason: str, replaced_by: str | None, organisation: str | None, as_json: bool) -> None:
    from tersum.records.withdrawing import withdrawn

    with organisation_store(organisation) as store:
        fact = withdrawn(store, number, reason=reason, replaced_by=replaced_by)
        head = store.head()
    if as_json:
        emit_json("tersum/record-withdrawn/1", {"number": number, "reason": reason, "replaced_by": replaced_by,
                                                "fact_id": fact.fact_id, "head": str(head)})
        return
    click.echo(_("Record {number} is withdrawn. Head {head}").format(number=number, head=head))
    remark(_("What was handed over cannot be recalled: tell whoever has it."))


def _records(store: Store) -> list[dict[str, Any]]:
    from tersum.records.withdrawing import states

    return [{"number": one.number, "issued_utc": one.issued_utc, "state": one.state, "replaced_by": one.replaced_by,
             "pdf_sha256": one.pdf_sha256, "key_id": one.key_id} for one in states(store)]


def _states() -> dict[str, str]:
    return {"in-force": _("counts"), "replaced": _("replaced"), "withdrawn": _("withdrawn")}
