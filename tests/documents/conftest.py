"""One signed record for the tests of a session, and its key."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from documents import sample_records
from tersum.documents.signing import signed
from tersum.documents.visit_record import record_pdf
from tersum.records.keys import signing_key

MADE = datetime(2026, 1, 5, 8, 0, tzinfo=UTC)


@pytest.fixture(scope="session")
def key(tmp_path_factory):
    """A signing key of this session."""
    return signing_key(tmp_path_factory.mktemp("home"), now=MADE)


@pytest.fixture(scope="session")
def other_key(tmp_path_factory):
    """A key that nobody trusts."""
    return signing_key(tmp_path_factory.mktemp("other-home"), now=MADE)


@pytest.fixture(scope="session")
def record(key):
    """A finished record, as the key's number stands on it."""
    return replace(sample_records.finished(), key_id=key.key_id)


@pytest.fixture(scope="session")
def unsigned(record):
    """The record before it is signed."""
    return record_pdf(record)


@pytest.fixture(scope="session")
def issued(record, unsigned, key):
    """The record as it is issued."""
    return signed(unsigned, key, at=record.issued_at)
