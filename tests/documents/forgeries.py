"""Forged records: each shape of tampering that has been published, made from a record as issued."""

import hashlib
import io

from asn1crypto import cms, tsp
from cryptography.hazmat.primitives.asymmetric.utils import decode_dss_signature, encode_dss_signature
from pyhanko.pdf_utils import generic
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.sign.fields import SigFieldSpec
from pyhanko.sign.signers import cms_embedder
from pyhanko.sign.signers.pdf_byterange import SignatureObject

from tersum.documents.pdf_file import signature_places
from tersum.documents.signature_container import P256_ORDER, container_in
from tersum.documents.signing import signed, signer_of

assert tsp  # its attributes are known to cms once it is loaded


def with_container(body, container):
    """The record with other bytes for its signature's container, in capital hexadecimal digits and zeros."""
    place = signature_places(body)[0]
    digits = container.hex().upper().encode().ljust(len(place.digits), b"0")
    assert len(digits) == len(place.digits)
    return body[:place.at] + digits + body[place.at + len(place.digits):]


def container_of(body):
    """The container's bytes without the zeros behind them."""
    raw = bytes.fromhex(signature_places(body)[0].digits.decode())
    return cms.ContentInfo.load(raw).dump()


def updated(body, change):
    """The record with a second revision behind it."""
    writer = IncrementalPdfFileWriter(io.BytesIO(body))
    change(writer)
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def _title(writer):
    writer.root["/Lang"] = generic.TextStringObject("de")
    writer.update_root()


def _note(writer):
    page = writer.find_page_for_modification(0)[0].get_object()
    note = writer.add_object(generic.DictionaryObject({
        generic.pdf_name("/Type"): generic.pdf_name("/Annot"),
        generic.pdf_name("/Subtype"): generic.pdf_name("/FreeText"),
        generic.pdf_name("/Rect"): generic.ArrayObject(map(generic.NumberObject, (50, 600, 500, 700))),
        generic.pdf_name("/Contents"): generic.pdf_string("12 of 12")}))
    page["/Annots"].append(note)
    writer.update_container(page["/Annots"])


def high_signature(body):
    """The other of the two signatures that a verifier of the curve accepts."""
    container = container_in(bytes.fromhex(signature_places(body)[0].digits.decode()))
    r, s = decode_dss_signature(container.signature)
    other = encode_dss_signature(r, P256_ORDER - s)
    info = cms.ContentInfo.load(container_of(body)).copy()
    info["content"]["signer_infos"][0]["signature"] = other
    return with_container(body, info.dump())


def unsigned_attribute(body):
    """The same signature with an attribute that nobody signed."""
    info = cms.ContentInfo.load(container_of(body)).copy()
    info["content"]["signer_infos"][0]["unsigned_attrs"] = cms.CMSAttributes([
        cms.CMSAttribute({"type": "1.2.3.4", "values": []})])
    return with_container(body, info.dump())


def exchanged_certificate(body, other):
    """The same signature with another certificate in the place of the signer's."""
    info = cms.ContentInfo.load(container_of(body)).copy()
    info["content"]["certificates"] = [cms.CertificateChoices.load(other.certificate)]
    return with_container(body, info.dump())


def long_length(body):
    """The outermost length in four bytes where two do (BER, not DER)."""
    raw = container_of(body)
    assert raw[:2] == b"\x30\x82"
    return with_container(body, b"\x30\x84\x00\x00" + raw[2:])


def wrapped(body):
    """More bytes between the two signed parts, the second part moved behind them (signature wrapping)."""
    place = signature_places(body)[0]
    gap = place.second_start
    return body[:gap] + b"\n999 0 obj\n<</Type/Page>>\nendobj\n" + body[gap:]


def small_digits(body):
    """The same digits in small letters."""
    place = signature_places(body)[0]
    end = place.at + len(place.digits)
    return body[:place.at] + body[place.at:end].lower() + body[end:]


def written_padding(body):
    """One bit set in the zeros behind the container."""
    place = signature_places(body)[0]
    end = place.at + len(place.digits)
    return body[:end - 1] + b"1" + body[end:]


def shorter_range(body):
    """A digest that fits a range that leaves out the end of the file."""
    place = signature_places(body)[0]
    container = container_in(bytes.fromhex(place.digits.decode()))
    assert container.digest != hashlib.sha256(body[:place.first_end]).digest()
    text = f"[0 {place.first_end} {place.second_start} {place.second_length}]".encode()
    less = f"[0 {place.first_end} {place.second_start} {place.second_length - 7}]".encode().ljust(len(text))
    return body.replace(text, less)


def forgeries(body, unsigned, record, other):
    """Every forged record by name, with the code it must be refused with."""
    return {
        "appended line break": (body + b"\n", "added-to"),
        "appended comment": (body + b"% as good as new\n", "added-to"),
        "second revision": (updated(body, _title), "added-to"),
        "note over the text": (updated(body, _note), "added-to"),
        "second signature": (signed_again(body, other), "added-to"),
        "copied signature": (copied_signature(body), "signed-twice"),
        "signed by another key": (signed(unsigned, other, at=record.issued_at), "unknown-key"),
        "cut in half": (body[:len(body) // 2], "cut-off"),
        "last byte missing": (body[:-1], "cut-off"),
        "unsigned": (unsigned, "not-signed"),
        "PDF of another program": (OTHER_PDF, "not-signed"),
        "empty file": (b"", "not-a-pdf"),
        "a text": (b"Visit record: all done\n", "not-a-pdf"),
        "wrapped signature": (wrapped(body), "added-to"),
        "shorter range": (shorter_range(body), "added-to"),
        "high signature": (high_signature(body), "other-container"),
        "unsigned attribute": (unsigned_attribute(body), "other-container"),
        "exchanged certificate": (exchanged_certificate(body, other), "other-container"),
        "long length": (long_length(body), "other-container"),
        "small digits": (small_digits(body), "other-container"),
        "written padding": (written_padding(body), "other-container"),
    }


def signed_again(body, other):
    """A second signature behind the first, by the lowest means: a tool for signing refuses to touch a final record."""
    writer = IncrementalPdfFileWriter(io.BytesIO(body))
    steps = cms_embedder.PdfCMSEmbedder(new_field_spec=SigFieldSpec("Second")).write_cms("Second", writer)
    next(steps)
    steps.send(cms_embedder.SigObjSetup(sig_placeholder=SignatureObject(bytes_reserved=4096)))
    digest, out = steps.send(cms_embedder.SigIOSetup(md_algorithm="sha256"))
    assert len(digest.document_digest) == 32
    steps.send(signer_of(other).signing_cert.dump())  # any bytes will do: it is refused before they are read
    return out.getvalue()


def copied_signature(body):
    """The signature's own object once more, behind the end."""
    start = body.rindex(b"<</Type/Sig")
    return body + b"\n900 0 obj\n" + body[start:body.index(b"endobj", start)] + b"endobj\n%%EOF\n"


OTHER_PDF = (b"%PDF-1.4\n1 0 obj\n<</Type/Catalog/Pages 2 0 R>>\nendobj\n"
             b"2 0 obj\n<</Type/Pages/Count 0/Kids[]>>\nendobj\n"
             b"xref\n0 3\n0000000000 65535 f \n0000000009 00000 n \n0000000056 00000 n \n"
             b"trailer\n<</Size 3/Root 1 0 R>>\nstartxref\n105\n%%EOF\n")
