"""Takes a signature's container in any form in which a parser can make it out."""

from asn1crypto import cms, tsp

from tersum.documents import verifying
from tersum.documents.signature_container import Container

WHAT = "a signature's container is read but not compared with its one form, so that some of its bytes do not count"
BREAKS = ["tests/documents/test_verifying.py::test_every_byte_counts"]
assert tsp  # its attributes are known to cms once it is loaded


def apply(monkeypatch):
    def as_read(padded):
        data = cms.ContentInfo.load(padded)["content"]
        signer, attributes = data["signer_infos"][0], data["signer_infos"][0]["signed_attrs"]
        said = {one["type"].native: one["values"] for one in attributes}
        return Container(said["message_digest"][0].native, data["certificates"][0].chosen.dump(),
                         b"\x31" + attributes.dump()[1:], signer["signature"].native)

    monkeypatch.setattr(verifying, "container_in", as_read)
