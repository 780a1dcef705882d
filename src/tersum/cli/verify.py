"""``tersum verify``: whether a visit record is, byte for byte, as it was issued."""

from __future__ import annotations

from pathlib import Path

import click

from tersum.cli.output import emit_json, remark
from tersum.documents.text import _
from tersum.errors import N_
from tersum.records.intake import RowFault, open_input, refusal

LARGEST_BYTES = 1 << 26  # a record of 400 points is a hundredth of this


@click.command(help=_("Check whether a visit record is as it was issued."),
               epilog=_('Example: tersum verify record.pdf --trust "0123 4567 89ab cdef 0123 4567 89ab cdef". Accepted '
                        "are keys that this installation made, and those given by --trust: the number of a key as the "
                        "company tells it, not as it stands on the record, or a file with its certificate. Exit 0: as "
                        "issued; 1: not, or by an unknown key."))
@click.argument("record", metavar="FILE.pdf")
@click.option("--trust", multiple=True, metavar="KEY", help=_("A key to trust: its 32 or 64 digits, or a PEM file. May "
                                                             "be given again."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
@click.pass_context
def verify(ctx: click.Context, record: str, trust: tuple[str, ...], as_json: bool) -> None:
    from tersum.documents import verify_text
    from tersum.documents.verifying import verification
    from tersum.records.home import data_home
    from tersum.records.keys import own_fingerprints, trusted_fingerprint

    trusted = {trusted_fingerprint(one) for one in trust} | set(own_fingerprints(data_home()))
    with open_input(record) as stream:
        body = stream.read(LARGEST_BYTES + 1)
    if len(body) > LARGEST_BYTES:
        raise RowFault(record, refusal("too-large", N_("the file is larger than {most} bytes; accepted: {accepted}."),
                                       "", "", N_("a visit record"), most=LARGEST_BYTES))
    found = verification(body, trusted)
    said = verify_text.sentence(found)
    if as_json:
        emit_json("tersum/verify/1", {
            "genuine": found.genuine, "code": found.code, "sentence": said, "next": verify_text.next_step(found),
            "file": Path(record).name, "key_id": found.key_id, "fingerprint": found.fingerprint,
            "record": found.number, "check_code": found.check_code, "signed_utc": found.signed_utc})
    else:
        print(said)
        _more(found.fingerprint, found.number, found.check_code, found.signed_utc)
        if verify_text.next_step(found):
            remark(verify_text.next_step(found))
    ctx.exit(0 if found.genuine else 1)


def _more(fingerprint: str, number: str, check_code: str, signed_utc: str) -> None:
    """Print what is known of the record, once it is known to be one."""
    from tersum.documents.verify_text import grouped

    if number:
        print(_("Record {number}, check code {code}, signed at {time} by the signer's clock.").format(
            number=number, code=check_code, time=signed_utc))
    if fingerprint:
        print(_("Key: {digits}").format(digits=grouped(fingerprint)))
