"""Believes what an archive says of itself."""

from tersum.records import archive

WHAT = "files that differ from the manifest of their archive are put in place"
BREAKS = ["tests/records/test_restoring.py::test_archive_that_differs_from_its_manifest_is_refused[change_one]"]


def apply(monkeypatch):
    honest = archive._copy

    class Anything(str):
        def __ne__(self, other):
            return False

        __hash__ = str.__hash__

    monkeypatch.setattr(archive, "_copy", lambda source, sink: Anything(honest(source, sink)))
