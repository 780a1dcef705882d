"""``tersum verify``: whether a visit record is, byte for byte, as it was issued, and what its evidence proves."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from tersum.cli.output import emit_json, remark
from tersum.documents.text import _
from tersum.errors import N_
from tersum.records.intake import RowFault, open_input, refusal

if TYPE_CHECKING:
    from tersum.records.bundle import BundleCheck

LARGEST_BYTES = 1 << 26  # a record of 400 points is a hundredth of this


@click.command(help=_("Check whether a visit record is as it was issued."),
               epilog=_('Example: tersum verify record.pdf --trust "0123 4567 89ab cdef 0123 4567 89ab cdef". Accepted '
                        "are keys that this installation made, and those given by --trust: the number of a key as the "
                        "company tells it, not as it stands on the record, or a file with its certificate. FILE may "
                        "also be an evidence bundle alone. Exit 0: as issued; 1: not, or by an unknown key, or with a "
                        "bundle that shows the record withdrawn or replaced."))
@click.argument("record", metavar="FILE.pdf")
@click.option("--bundle", metavar="FILE.json", help=_("The evidence bundle beside the record: checked too."))
@click.option("--trust", multiple=True, metavar="KEY", help=_("A key to trust: its 32 or 64 digits, or a PEM file. May "
                                                             "be given again."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
@click.pass_context
def verify(ctx: click.Context, record: str, bundle: str | None, trust: tuple[str, ...], as_json: bool) -> None:
    from tersum.records.bundle import checked_bundle
    from tersum.records.home import data_home
    from tersum.records.keys import own_fingerprints, trusted_fingerprint

    trusted = {trusted_fingerprint(one) for one in trust} | set(own_fingerprints(data_home()))
    body = _read(record)
    if bundle is None and body.lstrip()[:1] == b"{":
        ctx.exit(_tell_bundle(checked_bundle(body, trusted), record, as_json))
    proven = checked_bundle(_read(bundle), trusted, body) if bundle is not None else None
    ctx.exit(_tell(record, body, trusted, proven, as_json))


def _tell(record: str, body: bytes, trusted: set[str], proven: BundleCheck | None, as_json: bool) -> int:
    from tersum.documents import bundle_text, verify_text
    from tersum.documents.verifying import verification

    found = verification(body, trusted)
    said = verify_text.sentence(found)
    if as_json:
        emit_json("tersum/verify/1", {
            "genuine": found.genuine, "code": found.code, "sentence": said, "next": verify_text.next_step(found),
            "file": Path(record).name, "key_id": found.key_id, "fingerprint": found.fingerprint,
            "record": found.number, "check_code": found.check_code, "signed_utc": found.signed_utc,
            "bundle": _plain(proven) if proven else None})
    else:
        print(said)
        _more(found.fingerprint, found.number, found.check_code, found.signed_utc)
        if proven:
            print(bundle_text.sentence(proven))
        for step in (verify_text.next_step(found), bundle_text.next_step(proven) if proven else ""):
            if step:
                remark(step)
    return 0 if found.genuine and (proven is None or proven.counts) else 1


def _tell_bundle(found: BundleCheck, file: str, as_json: bool) -> int:
    from tersum.documents import bundle_text

    if as_json:
        emit_json("tersum/verify-bundle/1", {"file": Path(file).name, **_plain(found)})
    else:
        print(bundle_text.sentence(found))
        if bundle_text.next_step(found):
            remark(bundle_text.next_step(found))
        if found.genuine:
            remark(_("The record itself was not looked at: give the PDF, and this file with --bundle."))
    return 0 if found.counts else 1


def _plain(found: BundleCheck) -> dict[str, Any]:
    from tersum.documents import bundle_text

    return {"genuine": found.genuine, "code": found.code, "sentence": bundle_text.sentence(found),
            "next": bundle_text.next_step(found), "record": found.number, "sequence": found.sequence,
            "replaced_by": found.replaced_by or None, "key": found.head.key if found.head else None,
            "head": f"{found.head.sequence}:{found.head.hash}" if found.head else None,
            "head_utc": found.head.utc if found.head else None}


def _read(name: str) -> bytes:
    with open_input(name) as stream:
        body: bytes = stream.read(LARGEST_BYTES + 1)
    if len(body) > LARGEST_BYTES:
        raise RowFault(name, refusal("too-large", N_("the file is larger than {most} bytes; accepted: {accepted}."),
                                     "", "", N_("a visit record"), most=LARGEST_BYTES))
    return body


def _more(fingerprint: str, number: str, check_code: str, signed_utc: str) -> None:
    """Print what is known of the record, once it is known to be one."""
    from tersum.documents.verify_text import grouped

    if number:
        print(_("Record {number}, check code {code}, signed at {time} by the signer's clock.").format(
            number=number, code=check_code, time=signed_utc))
    if fingerprint:
        print(_("Key: {digits}").format(digits=grouped(fingerprint)))
