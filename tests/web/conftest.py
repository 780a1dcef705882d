"""A data folder with one demo visit at three moments: planned, after the cleaning, and finished."""

import pytest

from web.site import Site, client_of, example_rows, hidden, plan_of, seal


@pytest.fixture
def site(tmp_path):
    """The first minibus, planned and nothing more."""
    home = tmp_path / "home"
    plan, seed = plan_of("minibus-1")
    visit_id = seal(home, plan, seed)
    with client_of(home) as client:
        yield Site(home, visit_id, plan, client, places={one.id: n for n, one in enumerate(plan.points, start=1)})


@pytest.fixture
def cleaned(site):
    """The first minibus after the cleaning, read as found."""
    for row in example_rows("minibus-1")[:2]:
        assert site.read(row["point"], row["rlu"]).status_code == 303
    assert site.show_draw().status_code == 303
    return site


@pytest.fixture
def finished(cleaned):
    """The first minibus with every point done, and its visit ended."""
    for row in example_rows("minibus-1")[2:]:
        assert cleaned.read(row["point"], row["rlu"]).status_code == 303, row
    fields = hidden(cleaned.get(f"{cleaned.visit}/ending").text)
    assert cleaned.post(f"{cleaned.visit}/ending", fields).status_code == 303
    return cleaned
