"""Headers on every answer, errors included, and nothing from any other host in any page."""

import re

import pytest

from tersum.web import headers as web_headers
from tersum.web.pages import today
from web.addresses import forms, html_pages, shown_pages
from web.site import client_of

DIRECTIVES = {"default-src": "'none'", "style-src": "'self'", "img-src": "'self'", "form-action": "'self'",
              "frame-ancestors": "'none'", "base-uri": "'none'"}


def directives(answer):
    """Return a policy as directive and sources."""
    return dict(one.strip().split(" ", 1) for one in answer.headers["content-security-policy"].split(";"))


def holds(answer):
    """Assert that an answer carries every header."""
    assert directives(answer) == DIRECTIVES
    for name, value in web_headers.ALWAYS.items():
        assert answer.headers[name] == value
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert answer.headers["referrer-policy"] in ("no-referrer", "same-origin")


def test_every_page_carries_the_headers(cleaned):
    for name, path in shown_pages(cleaned).items():
        answer = cleaned.get(path)
        holds(answer)
        wanted = "public, max-age=31536000, immutable" if name == "static" else "no-store"
        assert answer.headers["cache-control"] == wanted, name


def test_every_answer_to_a_form_carries_the_headers(site):
    for path, fields in forms(site).values():
        holds(site.post(path, fields))
        holds(site.post(path, {**fields, "operation_id": "none"}))


def test_errors_carry_the_headers(site, monkeypatch):
    answers = {404: site.get("/nothing"), 405: site.post("/", {}), 415: site.client.post(
        f"{site.visit}/draw", content=b"{}", headers={"content-type": "application/json",
                                                      "sec-fetch-site": "same-origin"})}
    for status, answer in answers.items():
        assert answer.status_code == status
        holds(answer)


def test_error_that_nobody_foresaw_carries_the_headers_and_says_nothing_of_the_program(site, monkeypatch):
    monkeypatch.setattr(today, "page", lambda *_args, **_more: 1 / 0)
    with client_of(site.home, raise_server_exceptions=False) as client:
        answer = client.get("/")
    holds(answer)
    assert answer.status_code == 500 and "ZeroDivision" not in answer.text and "Something went wrong" in answer.text


def test_pages_name_no_other_host_and_hold_no_script_and_no_inline_style(cleaned):
    for name, path in html_pages(cleaned).items():
        html = cleaned.get(path).text
        for address in re.findall(r'\b(?:href|src|srcset|action)="([^"]*)"', html):
            assert re.match(r"(/(?!/)|#)", address), f"{name}: {address}"
        found = re.search(r"<script|<style|\sstyle=|\son[a-z]+=|javascript:|<iframe|<object|<embed", html, re.I)
        assert not found, f"{name}: {found}"


@pytest.mark.parametrize("name", ["style.css", "icon.svg", "marks.svg"])
def test_files_name_no_other_host(site, name):
    from tersum.web import static_files

    body = site.get(static_files.address(name)).text.replace("http://www.w3.org/2000/svg", "")
    assert "//" not in re.sub(r"/\*.*?\*/", "", body, flags=re.S)


def test_file_is_given_under_its_present_version_only(site):
    from tersum.web import static_files

    assert site.get(static_files.address("style.css")).headers["content-type"] == "text/css; charset=utf-8"
    for path in ("/static/0/style.css", static_files.address("style.css").replace("style.css", "words.py")):
        assert site.get(path).status_code == 404


def test_every_page_has_a_title_of_its_own_a_heading_a_language_and_a_way_past_the_top(cleaned):
    titles = []
    for name, path in html_pages(cleaned).items():
        html = cleaned.get(path).text
        titles += re.findall(r"<title>(.*?)</title>", html, re.S)
        assert len(re.findall("<h1", html)) == 1, name
        assert '<html lang="en">' in html and 'class="skip" href="#main"' in html, name
    assert len(titles) == len(set(titles)) == len(html_pages(cleaned))


def test_pages_never_say_what_a_phone_screen_must_not(finished):
    for name, path in html_pages(finished).items():
        text = re.sub(r"<[^>]*>", " ", finished.get(path).text)
        found = re.findall(r"\b(guarded|quench|censored|recovery|undecidable|ledger|head|outbox|seal|sealed|sterile|"
                           r"germ-free|safe|kills)\b", text, re.I)
        assert not found, f"{name}: {found}"


def test_texts_of_the_pages_all_go_through_translation(cleaned, monkeypatch):
    monkeypatch.setenv("TERSUM_LANG", "en-XA")
    for name, path in html_pages(cleaned).items():
        html = cleaned.get(path).text
        assert '<html lang="en-XA">' in html
        text = re.sub(r"<(bdi|code|title|svg|h2)[ >].*?</\1>|<[^>]*>|⟦.*?⟧", " ", html, flags=re.S)
        plain = [word for word in re.findall(r"[A-Za-z]{3,}", text) if word not in ("RLU", "Tersum")]
        assert not plain, f"{name}: {plain}"
