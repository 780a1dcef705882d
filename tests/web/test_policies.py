"""Every route says who may open it, nobody else gets in, and nothing changes by being looked at."""

import pytest

from tersum.web import policies, routes
from tersum.web.routes import PAGES, Page
from web.addresses import forms, shown_pages
from web.site import Site, client_of, kept


def test_every_route_has_a_policy_and_every_policy_a_route(site):
    names = [route.name for route in site.client.app.routes]
    assert len(names) == len(set(names)) == len(PAGES)
    assert {name: policies.policy_of(name) for name in names} == dict(policies.POLICIES)


def test_route_without_a_policy_keeps_the_pages_from_starting(monkeypatch):
    with pytest.raises(policies.NoPolicy, match="'forgotten' has no policy"):
        routes.routes([*PAGES, Page("forgotten", "/forgotten", PAGES[0].shown)])


def test_every_route_is_among_the_pages_and_forms_that_are_tested(site):
    assert {one.name for one in PAGES if one.shown} == set(shown_pages(site)) | {"record_pdf"}  # once it is issued
    assert {one.name for one in PAGES if one.sent} == set(forms(site))


@pytest.mark.parametrize(("host", "address"), [("evil.example", "127.0.0.1"), ("127.0.0.1", "192.0.2.7"),
                                               ("127.0.0.1.evil.example", "127.0.0.1"), ("", "127.0.0.1")])
def test_only_this_machine_under_its_own_name_gets_in(site, host, address):
    with client_of(site.home) as client:
        client._transport.client = (address, 50000)
        elsewhere = Site(site.home, site.visit_id, site.plan, client, places=site.places)
        before = kept(site.home)
        for name, path in shown_pages(site).items():
            status = elsewhere.get(path, headers={"host": host}).status_code
            assert status == (200 if policies.POLICIES[name] == policies.PUBLIC else 403), name
        for path, fields in forms(site).values():
            assert elsewhere.post(path, fields, host=host).status_code == 403
        assert kept(site.home) == before


@pytest.mark.parametrize("host", ["localhost:8000", "127.0.0.1", "[::1]:8000"])
def test_this_machine_may_be_called_by_any_of_its_own_names(site, host):
    assert site.get("/", headers={"host": host}).status_code == 200


@pytest.mark.parametrize("headers", [
    {"sec-fetch-site": "cross-site"}, {"sec-fetch-site": "same-site"}, {"origin": "http://evil.example"},
    {"origin": "null"}, {"origin": "http://127.0.0.1:9000"}, {}])
def test_form_from_another_page_is_refused_and_nothing_changes(site, headers):
    before = kept(site.home)
    for name, (path, fields) in forms(site).items():
        answer = site.client.post(path, data=fields, headers=headers, follow_redirects=False)
        assert answer.status_code == 403, name
        assert "Nothing was recorded" in answer.text
    assert kept(site.home) == before


@pytest.mark.parametrize("headers", [{"sec-fetch-site": "same-origin"}, {"origin": "http://127.0.0.1:8000"}])
def test_form_of_our_own_page_is_taken(site, headers):
    path, fields = forms(site)["reading"]
    assert site.client.post(path, data=fields, headers=headers, follow_redirects=False).status_code == 303


def test_looking_at_pages_changes_nothing(cleaned):
    before = kept(cleaned.home)
    for name, path in shown_pages(cleaned).items():
        assert cleaned.get(path).status_code == 200, name
        assert cleaned.client.head(path, follow_redirects=False).status_code == 200, name
    assert kept(cleaned.home) == before


@pytest.mark.parametrize("method", ["PUT", "PATCH", "DELETE"])
def test_other_methods_are_refused(site, method):
    before = kept(site.home)
    for path in shown_pages(site).values():
        assert site.client.request(method, path, headers={"sec-fetch-site": "same-origin"}).status_code == 405
    assert kept(site.home) == before
