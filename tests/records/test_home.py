"""The short name of an organisation: stable, its own, and there for every script."""

import pytest

from tersum.errors import OutOfRange
from tersum.records.home import checked_slug, slug_from


@pytest.mark.parametrize(("one", "other"), [
    ("A. B. Cleaning", "A B Cleaning"), ("Muller", "Müller"), ("清洁公司", "清洁店"), ("Чисто", "Чистый"),
    ("x" * 70, "x" * 71), ("C+", "C"), ("!!!", "???")])
def test_two_names_get_two_short_names(one, other):
    short = {slug_from(one), slug_from(other)}
    assert len(short) == 2
    assert all(checked_slug(name) == name for name in short)


def test_short_name_is_the_same_for_one_name_however_it_is_composed():
    assert slug_from("Müller") == slug_from("Mu\u0308ller") == slug_from("  MÜLLER ")
    assert slug_from("Müller").startswith("muller-")
    assert slug_from("清洁公司") == "organisation-" + slug_from("清洁公司")[-8:]


def test_plain_names_keep_a_plain_short_name():
    assert slug_from("Example Minibuses") == slug_from("example-minibuses") == "example-minibuses"


@pytest.mark.parametrize("name", ["", "  ", "-"])
def test_name_of_nothing_is_refused(name):
    with pytest.raises(OutOfRange):
        slug_from(name)
