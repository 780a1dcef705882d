"""Takes every key for a trusted one."""

from tersum.documents import verifying

WHAT = "a record signed by any key counts as issued"
BREAKS = ["tests/documents/test_verifying.py::test_a_record_by_an_unknown_key_is_not_believed"]


def apply(monkeypatch):
    kept = verifying.verification

    def believing(body, _trusted):
        found = kept(body, [])
        return kept(body, [found.fingerprint]) if found.fingerprint else found

    monkeypatch.setattr(verifying, "verification", believing)
