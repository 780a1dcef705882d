"""The file of a PDF: typst's objects packed tightly, with the place of one signature, as a single revision.

typst writes every object in full; packed into object streams (ISO 32000-1, 7.5.7) a record takes half the room. The
signature's own objects are written here too, so that the file has one revision and not two.
"""

from __future__ import annotations

import re
import zlib
from dataclasses import dataclass
from datetime import UTC, datetime

from tersum.errors import N_, TersumError

CONTENTS_BYTES = 1200  # room for the signature; one certificate and one signature take under 1000
_RANGE_ROOM = 48
_PER_STREAM = 200
_SIGNATURE = re.compile(rb"/ByteRange\[0 ([0-9]{1,10}) ([0-9]{1,10}) ([0-9]{1,10})\] */Contents<([^>]*)>")


@dataclass(frozen=True)
class Prepared:
    """A file that waits for its signature: the bytes, and where the hexadecimal digits go."""

    body: bytes
    start: int
    end: int

    @property
    def signed_bytes(self) -> bytes:
        """What is signed: everything but the digits and the brackets about them."""
        return self.body[: self.start - 1] + self.body[self.end + 1:]

    def filled(self, container: bytes) -> bytes:
        """Return the file with its signature in place."""
        digits = container.hex().upper().encode()
        if len(digits) > self.end - self.start:
            raise TersumError(N_("The signature does not fit its place in the file: {value} bytes."),
                              field="signature", value=len(container))
        return self.body[: self.start] + digits.ljust(self.end - self.start, b"0") + self.body[self.end:]


@dataclass(frozen=True)
class SignaturePlace:
    """Where a file says its signature is: the ends of both signed parts, and the digits between them."""

    first_end: int
    second_start: int
    second_length: int
    digits: bytes
    at: int


def prepared(pdf: bytes, *, at: datetime, name: str) -> Prepared:
    """Return a PDF of typst with the place of a signature that certifies it as final (DocMDP, no changes).

    Parameters
    ----------
    pdf : bytes
        As typst made it: one revision, with a table of its objects.
    at : datetime
        The signer's time, with an offset.
    name : str
        What the signature is called for those who have it read to them.
    """
    objects, trailer = _taken_apart(pdf)
    root, info, ids = (_found(pattern, trailer) for pattern in (
        rb"/Root ([0-9]+) 0 R", rb"/Info ([0-9]+) 0 R", rb"/ID(\[.*?\])(?=[/>])"))
    field, signature = max(objects) + 1, max(objects) + 2
    page = _first_page(objects, int(root))
    if b"/Annots" in objects[page] or b"/AcroForm" in objects[int(root)]:
        raise TersumError(N_("This page already has a form or notes; it cannot be certified as final."), field="pdf")
    # A field of no size: seen by programs that check signatures, and by nobody else (ISO 14289-1, 7.18.1).
    objects[field] = (b"<</Type/Annot/Subtype/Widget/FT/Sig/T(Signature)/TU%s/Rect[0 0 0 0]/F 132/P %d 0 R/V %d 0 R>>"
                      % (_text(name), page, signature))
    objects[page] = objects[page][:-2] + b"/Annots[%d 0 R]>>" % field
    objects[int(root)] = objects[int(root)][:-2] + (
        b"/AcroForm<</Fields[%d 0 R]/SigFlags 3>>/Perms<</DocMDP %d 0 R>>>>" % (field, signature))
    return _put_together(objects, signature, _signature_object(at), b"/Root %s 0 R/Info %s 0 R/ID%s" % (
        root, info, ids))


def signature_places(body: bytes) -> list[SignaturePlace]:
    """Return every place in a file that has the form of a signature."""
    return [SignaturePlace(int(found[1]), int(found[2]), int(found[3]), found[4], found.start(4))
            for found in _SIGNATURE.finditer(body)]


def _taken_apart(pdf: bytes) -> tuple[dict[int, bytes], bytes]:
    """Return the objects by number, each from after ``obj`` to before ``endobj``, and the trailer."""
    table = int(_found(rb"startxref\n([0-9]+)\n%%EOF", pdf[-64:]))
    trailer_at = pdf.index(b"trailer", table)
    offsets = [(int(found[1]), place) for place, found in enumerate(
        re.finditer(rb"([0-9]{10}) [0-9]{5} ([nf])\r\n", pdf[table:trailer_at])) if found[2] == b"n"]
    ordered = sorted(offset for offset, _number in offsets)
    ends = dict(zip(ordered, [*ordered[1:], table], strict=True))
    objects = {}
    for offset, number in offsets:
        whole = pdf[offset:ends[offset]].rstrip(b"\n")
        start = b"%d 0 obj\n" % number
        if not (whole.startswith(start) and whole.endswith(b"\nendobj")):
            raise TersumError(N_("The PDF is not laid out as expected; install the locked packages: make setup"),
                              field="pdf")
        objects[number] = whole[len(start):-7]
    return objects, pdf[trailer_at:]


def _first_page(objects: dict[int, bytes], root: int) -> int:
    number = int(_found(rb"/Pages ([0-9]+) 0 R", objects[root]))
    while b"/Kids" in objects[number]:
        number = int(_found(rb"/Kids\[([0-9]+) 0 R", objects[number]))
    return number


def _signature_object(at: datetime) -> bytes:
    stamp = at.astimezone(UTC).strftime("D:%Y%m%d%H%M%SZ").encode()
    return (b"<</Type/Sig/Filter/Adobe.PPKLite/SubFilter/ETSI.CAdES.detached/M(%s)/Reference[<</Type/SigRef"
            b"/TransformMethod/DocMDP/TransformParams<</Type/TransformParams/V/1.2/P 1>>>>]/ByteRange%s/Contents<%s>>>"
            % (stamp, b" " * _RANGE_ROOM, b"0" * (2 * CONTENTS_BYTES)))


def _put_together(objects: dict[int, bytes], signature: int, signature_object: bytes, trailer: bytes) -> Prepared:
    """Return the file: streams, then all else packed, the signature, and the table as a stream."""
    parts, places, packed = [b"%PDF-1.7\n%\x80\x80\x80\x80\n"], {}, []
    length = len(parts[0])

    def add(number: int, body: bytes) -> None:
        nonlocal length
        places[number] = (1, length, 0)
        parts.append(b"%d 0 obj\n%s\nendobj\n" % (number, body))
        length += len(parts[-1])

    for number, body in objects.items():
        if body.endswith(b"\nendstream"):
            add(number, body)
        else:
            packed.append(number)
    following = signature + 1
    for first in range(0, len(packed), _PER_STREAM):
        group = packed[first:first + _PER_STREAM]
        add(following, _object_stream([(number, objects[number]) for number in group]))
        places.update({number: (2, following, place) for place, number in enumerate(group)})
        following += 1
    signature_at = length
    add(signature, signature_object)
    table_at = length
    places[following] = (1, table_at, 0)
    rows = b"".join(b"%c%s%s" % (kind, where.to_bytes(4, "big"), index.to_bytes(2, "big")) for kind, where, index in (
        places.get(number, (0, 0, 65535 if number == 0 else 0)) for number in range(following + 1)))
    table = _stream(b"/Type/XRef/Size %d/W[1 4 2]%s" % (following + 1, trailer), rows)
    parts.append(b"%d 0 obj\n%s\nendobj\nstartxref\n%d\n%%%%EOF\n" % (following, table, table_at))
    return _with_range(b"".join(parts), signature_at)


def _with_range(body: bytes, signature_at: int) -> Prepared:
    """Write in what is signed: all but the digits and their brackets."""
    start = body.index(b"/Contents<", signature_at) + 10
    end = start + 2 * CONTENTS_BYTES
    numbers = (b"[0 %d %d %d]" % (start - 1, end + 1, len(body) - end - 1)).ljust(_RANGE_ROOM)
    room = body.index(b"/ByteRange", signature_at) + 10
    return Prepared(body[:room] + numbers + body[room + _RANGE_ROOM:], start, end)


def _object_stream(objects: list[tuple[int, bytes]]) -> bytes:
    heads, at = [], 0
    for number, body in objects:
        heads.append(b"%d %d" % (number, at))
        at += len(body) + 1
    head = b" ".join(heads) + b"\n"
    return _stream(b"/Type/ObjStm/N %d/First %d" % (len(objects), len(head)),
                   head + b"\n".join(body for _number, body in objects))


def _stream(entries: bytes, data: bytes) -> bytes:
    shrunk = zlib.compress(data, 9)
    return b"<<%s/Filter/FlateDecode/Length %d>>\nstream\n%s\nendstream" % (entries, len(shrunk), shrunk)


def _text(words: str) -> bytes:
    return b"<FEFF" + words.encode("utf-16-be").hex().upper().encode() + b">"


def _found(pattern: bytes, where: bytes) -> bytes:
    found = re.search(pattern, where, re.DOTALL)
    if found is None:
        raise TersumError(N_("The PDF is not laid out as expected; install the locked packages: make setup"),
                          field="pdf")
    return found[1]
