"""The command ``tersum restore``: prove a backup, and put it in the place of the data."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from tersum.cli.backup import contents, lines
from tersum.cli.output import emit_json, remark
from tersum.documents.text import _, ngettext
from tersum.errors import N_, OutOfRange

if TYPE_CHECKING:
    from tersum.records.restoring import Erased, Restored


@click.command(help=_("Check a backup, or put it in the place of the data."),
               epilog=_("Example: tersum restore tersum-20261125T180000Z.tersum-backup.age --key recovery.key --check. "
                        "What is there now is moved aside, never deleted. Exit codes: 3 the archive is damaged or "
                        "opens with another key; 4 no such file; 6 there are data already, or the pages are being "
                        "served; 7 storage."))
@click.argument("archive", type=click.Path(path_type=Path))
@click.option("--key", "secret_file", type=click.Path(path_type=Path), required=True, metavar="FILE",
              help=_("The secret half of the recovery key."))
@click.option("--check", is_flag=True, help=_("Hold every byte and every fact against what was sealed; change "
                                              "nothing."))
@click.option("--replace", is_flag=True, help=_("Replace the data that are there: they are moved aside."))
@click.option("--erasures", type=click.Path(path_type=Path, dir_okay=False), metavar="FILE",
              help=_("Who was erased since, where the data are lost: an earlier output of tersum ledger show --type "
                     "subject-erased --json."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def restore(archive: Path, secret_file: Path, check: bool, replace: bool, erasures: Path | None,
            as_json: bool) -> None:
    from tersum.records import restoring
    from tersum.records.home import data_home
    from tersum.records.recovery_key import recovery_identity
    from tersum.records.visits import recomputed

    identity = recovery_identity(secret_file)
    asked = restoring.erasures_from(_json_in(erasures)) if erasures else []
    if check:
        manifest = restoring.checked(archive, identity, data_home(), recompute=recomputed)
        if as_json:
            emit_json("tersum/restore/1", {"ok": True, "restored": False, **contents(manifest)})
            return
        for line in lines(manifest):
            click.echo(line)
        remark(_("Every file is as it was written and every fact as it was sealed. Nothing was changed."))
        return
    done = restoring.restored(archive, identity, data_home(), replace=replace, erasures=asked, recompute=recomputed)
    if as_json:
        emit_json("tersum/restore/1", {"ok": True, "restored": True, **contents(done.manifest),
                                       "newer_facts": dict(done.newer), "aside": str(done.aside) if done.aside else
                                       None, "erased_again": list(map(_plain, done.erased_again))})
    else:
        _tell(done)


def _tell(done: Restored) -> None:
    for line in lines(done.manifest):
        click.echo(line)
    for one in done.erased_again:
        remark(_("Erased again, as it was after this backup: subject {subject}.").format(subject=one.subject_id))
    for slug, count in done.newer.items():
        remark(ngettext("{organisation}: {count} newer fact is not in this backup.",
                        "{organisation}: {count} newer facts are not in this backup.", count).format(
            organisation=slug, count=count))
    if done.aside:
        remark(_("The data that were here lie in {folder}. They also hold whoever is erased from now on: delete them "
                 "once the restored data are known to be right.").format(folder=done.aside))
    remark(_("This machine gets a new device number with its next entry."))


def _plain(one: Erased) -> dict[str, str]:
    return {"organisation_id": one.organisation_id, "subject_id": one.subject_id, "basis": one.basis}


def _json_in(path: Path) -> Any:
    try:
        return json.loads(path.read_bytes())
    except (OSError, ValueError) as fault:
        raise OutOfRange("erasures", str(path), N_("a JSON file")) from fault
