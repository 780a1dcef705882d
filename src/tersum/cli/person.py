"""The command ``tersum person``: who and what is kept outside the facts, all of it for one, and its erasure."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from tersum.cli.ledger import organisation_store
from tersum.cli.output import emit_json, remark, table
from tersum.documents.text import _

if TYPE_CHECKING:
    from tersum.records.facts import Fact
    from tersum.records.store import Store

BASES = ("asked", "no-longer-needed", "kept-by-mistake", "retention-ended")
_ORGANISATION = click.option("--organisation", metavar="SLUG", help=_("Short name; needed where there are several."))
_JSON = click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))


@click.group(help=_("List people and notes, give out all that is kept of one, erase one."))
def person() -> None:
    pass


@person.command("list", help=_("List people and notes that are kept, by their random numbers."),
                epilog=_("Example: tersum person list --containing \"left door\""))
@click.option("--containing", default="", metavar="TEXT", help=_("Only those with a value that holds this text."))
@_ORGANISATION
@_JSON
def list_people(containing: str, organisation: str | None, as_json: bool) -> None:
    from tersum.records.subjects import subjects

    with organisation_store(organisation) as store:
        found = subjects(store, containing=containing)
    if as_json:
        emit_json("tersum/people/1", {"people": [
            {"subject_id": one.subject_id, "kind": one.kind, "shown": one.shown} for one in found]})
        return
    table([_("Number"), _("Kind"), _("Kept")], [[one.subject_id, one.kind, one.shown] for one in found])


@person.command(help=_("Write all that is kept of one person or note: JSON, CSV and a readable page."),
                epilog=_("Example: tersum person export \"An Invented Technician\" --out folder. NAME is the name, the "
                         "whole note, or the number that tersum person list shows. A free note about somebody is found "
                         "by tersum person list --containing only: read those too. Exit codes: 4 nobody of that name; "
                         "6 several."))
@click.argument("name")
@click.option("--out", type=click.Path(path_type=Path, file_okay=False), required=True, metavar="DIR",
              help=_("The folder to write into."))
@_ORGANISATION
def export(name: str, out: Path, organisation: str | None) -> None:
    from tersum.documents.person_page import HEADINGS, person_fields, person_page, person_rows
    from tersum.records.export import csv_lines, json_text, whole_files
    from tersum.records.subjects import mentions, subject_meant

    with organisation_store(organisation) as store:
        subject = subject_meant(store, name)
        named = mentions(store, subject.subject_id)
        slug = organisation or store.organisation_id
    with whole_files(out, ["person.json", "facts.csv", "page.html"]) as (as_json, as_csv, page):
        as_json.write(json_text({"schema": "tersum/person/1", **person_fields(slug, subject, named)}) + "\n")
        as_csv.writelines(csv_lines(HEADINGS, person_rows(named)))
        page.write(person_page(slug, subject, named))
    for file in ("person.json", "facts.csv", "page.html"):
        click.echo(out / file)


@person.command(help=_("Erase one person or note: the values, their key, and kept records that print the words."),
                epilog=_("Example: tersum person erase \"An Invented Technician\" --basis asked --yes. Every fact and "
                         "every seal stays as it is; the number in them leads nowhere then. Exit codes: 4 nobody of "
                         "that name; 6 several, or it must be kept."))
@click.argument("name")
@click.option("--basis", type=click.Choice(BASES), required=True, help=_("Why."))
@click.option("--yes", is_flag=True, help=_("Do it: it cannot be undone."))
@_ORGANISATION
@_JSON
@click.pass_context
def erase(ctx: click.Context, name: str, basis: str, yes: bool, organisation: str | None, as_json: bool) -> None:
    from tersum.records import subjects
    from tersum.records.home import data_home

    with organisation_store(organisation) as store:
        if (before := subjects.erasure_of(store, name)) is not None:
            ctx.exit(_wiped_again(store, before))
        subject = subjects.subject_meant(store, name)
        if not yes:
            click.echo(_("{kind} {number}: {shown}").format(kind=subject.kind, number=subject.subject_id,
                                                           shown=subject.shown))
            remark(_("Nothing was erased. This cannot be undone: to do it, add --yes."))
            ctx.exit(1)
        done = subjects.erase(store, data_home(), subject.subject_id, basis=basis, actor_id=store.device_id,
                              operation_id=store.new_id())
        head = store.head()
    if as_json:
        emit_json("tersum/person-erased/1", {
            "subject_id": subject.subject_id, "basis": basis, "fields": done.erasure.fact.data["fields"],
            "wiped": done.erasure.wiped, "records_removed": list(done.records_removed), "head": str(head)})
        return
    click.echo(_("Erased: {number}. Head {head}").format(number=subject.subject_id, head=head))
    for number in done.records_removed:
        remark(_("The kept copy of record {number} may have printed it and is gone; what was handed over still "
                 "verifies.").format(number=number))
    if not done.erasure.wiped:
        remark(_("Another program is reading the data: end it, then run tersum person erase {number} --basis {basis} "
                 "to overwrite old copies in the file.").format(number=subject.subject_id, basis=basis))
    remark(_("What was printed, handed over or backed up is not reached from here. Keep backups at most 30 days."))


def _wiped_again(store: Store, before: Fact) -> int:
    """Overwrite once more what the file may hold of somebody erased before; return the exit code."""
    again = store.erase_subject(before.data["subject_id"], basis=before.data["basis"],
                                actor_id=before.envelope["actor_id"], operation_id=before.envelope["operation_id"])
    remark(_("Erased already; old copies in the file are overwritten.") if again.wiped else
           _("Erased already, and another program is still reading the data: end it and try again."))
    return 0 if again.wiped else 6
