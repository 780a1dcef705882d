"""The command ``tersum backup``: everything kept, in one file that opens only with the recovery key."""

from __future__ import annotations

from datetime import UTC
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from tersum.cli.output import emit_json, remark
from tersum.documents.text import _, ngettext

if TYPE_CHECKING:
    from tersum.records.manifest import Manifest

KEEP_DAYS = 30  # an archive still holds what was erased after it was written


@click.command(help=_("Write everything kept into one encrypted file."),
               epilog=_("Example: tersum backup --new-key /media/stick/recovery.key once, then tersum backup --to "
                        "/media/disk each day. Exit codes: 4 no recovery key or nothing kept yet; 6 the file is there "
                        "already; 7 storage."))
@click.option("--to", "target", type=click.Path(path_type=Path, file_okay=False, exists=True), default=Path(),
              metavar="DIR", help=_("The folder for the file; this one if left out. Best on another medium."))
@click.option("--new-key", "secret_file", type=click.Path(path_type=Path), metavar="FILE",
              help=_("Make the recovery key, once: its secret half goes into FILE."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def backup(target: Path, secret_file: Path | None, as_json: bool) -> None:
    from tersum.records.archive import SUFFIX, write_archive
    from tersum.records.home import data_home
    from tersum.records.recovery_key import make_recovery_key, recovery_recipient
    from tersum.records.when import now

    data = data_home()
    if secret_file is not None:
        _tell_key(make_recovery_key(data, secret_file), secret_file, as_json)
        return
    recipient = recovery_recipient(data)
    moment = now()
    archive = target / f"tersum-{moment.astimezone(UTC):%Y%m%dT%H%M%SZ}{SUFFIX}"
    manifest = write_archive(data, archive, recipient, moment=moment)
    if as_json:
        emit_json("tersum/backup/1", {"archive": str(archive), "bytes": archive.stat().st_size, **contents(manifest)})
        return
    click.echo(archive)
    for line in lines(manifest):
        remark(line)
    remark(_("Nobody has opened it yet: tersum restore {archive} --key FILE --check does, and changes nothing.").format(
        archive=archive))
    remark(_("It still holds whoever is erased after today: keep archives at most {days} days.").format(days=KEEP_DAYS))


def contents(manifest: Manifest) -> dict[str, Any]:
    """Return what a manifest says, as JSON shows it."""
    return {"created_utc": manifest.created_utc, "program": manifest.program, "files": len(manifest.files),
            "organisations": [{"organisation": one.slug, "organisation_id": one.organisation_id,
                               "head": str(one.head) if one.head else None} for one in manifest.organisations]}


def lines(manifest: Manifest) -> list[str]:
    """Return what a manifest says, a line for each organisation."""
    return [ngettext("{organisation}: {facts} fact, head {head}", "{organisation}: {facts} facts, head {head}",
                     one.head.sequence if one.head else 0).format(
        organisation=one.slug, facts=one.head.sequence if one.head else 0, head=one.head or "-")
        for one in manifest.organisations]


def _tell_key(public: str, secret_file: Path, as_json: bool) -> None:
    if as_json:
        emit_json("tersum/recovery-key/1", {"public": public, "secret_file": str(secret_file)})
        return
    click.echo(public)
    remark(_("The secret half is in {file}. Without it no backup can be read, by anybody: keep it apart from this "
             "machine and from the backups, and a second copy on paper.").format(file=secret_file))
