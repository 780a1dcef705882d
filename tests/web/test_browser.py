"""The demo visit by taps on a phone, with scripts and without; every page looked at for access, size and overflow."""


import pytest
from axe_playwright_python.sync_playwright import Axe

from web.addresses import html_pages
from web.browser import chromium, looking, served
from web.site import Site, client_of, example_rows, plan_of, put_reading, seal
from web.test_record import decided_by_command, points_of

AXE = {"runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]},
       "rules": {"target-size": {"enabled": True}}}
# What a thumb has to hit; the radio buttons are hit by their labels.
TARGETS = "a:not(.skip), button, label:has(input), summary, input[type=text], textarea"
TOO_SMALL = """targets => [...document.querySelectorAll(targets)].filter(one => one.checkVisibility())
    .map(one => [one.outerHTML.slice(0, 90), one.getBoundingClientRect()])
    .filter(([_, box]) => box.height < 48 || box.width < 48).map(([html, box]) => [html, box.width, box.height])"""
COVERED = """async () => {
    const bar = document.querySelector('.act'); const found = [];
    if (!bar || getComputedStyle(bar).position !== 'fixed') return found;
    for (const one of document.querySelectorAll('main a, main button, main input, main textarea, main summary')) {
        if (bar.contains(one) || !one.checkVisibility()) continue;
        one.focus(); await new Promise(requestAnimationFrame);
        const box = one.getBoundingClientRect();
        if (box.bottom > bar.getBoundingClientRect().top + 1 && box.top > 0) found.push(one.outerHTML.slice(0, 90));
    }
    return found;
}"""


@pytest.fixture(scope="module")
def browser():
    with chromium() as opened:
        yield opened


@pytest.fixture(scope="module")
def home(tmp_path_factory):
    return tmp_path_factory.mktemp("browser") / "home"


@pytest.fixture(scope="module")
def address(home):
    with client_of(home) as client, served(client.app) as where:
        yield where


def put(home, address, name, **change):
    """Put a demo visit on record; return what a test needs to look at it."""
    from dataclasses import replace

    plan, seed = plan_of("minibus-1")
    plan = replace(plan, visit=name, **change)
    visit_id = seal(home, plan, seed)
    client = client_of(home)
    return Site(home, visit_id, plan, client, places={one.id: n for n, one in enumerate(plan.points, start=1)})


@pytest.mark.parametrize("scripts", [True, False], ids=["scripts on", "scripts off"])
def test_demo_visit_from_today_s_list_to_its_record_by_taps(browser, home, address, tmp_path, scripts):
    site = put(home, address, f"by taps {scripts}")
    shown = {(row["point"], f"{row['stage']}.{row['round']}.{row['swab']}"): row for row in example_rows("minibus-1")}
    with looking(browser, address, java_script_enabled=scripts, is_mobile=True) as page:
        page.goto(address)
        go(page, page.locator(f'main a[href="{site.visit}"]').first)
        while not page.url.endswith("/record"):
            one_screen(page, shown)
        assert not shown, "readings that were never asked for"
        assert page.locator(".lead").inner_text() == "Finished: every planned point is done."
        go(page, page.get_by_role("button", name="Issue the signed record"))
        with page.expect_download() as download:
            page.locator(".act a").tap()
        assert download.value.path().read_bytes().startswith(b"%PDF")
        body = page.context.request.get(f"{address}{site.visit}/decisions.json").text()
    assert points_of(body) == points_of(decided_by_command(site, tmp_path))
    assert body.count('"verdict": "done"') == 6


def one_screen(page, shown):
    """Do what a screen asks for, with taps and the number that the meter shows."""
    if page.url.endswith("/questions"):
        for label in page.get_by_text("Yes", exact=True).all():
            label.tap()
        go(page, page.get_by_role("button", name="Go on"))
    elif "/reading" in page.url:
        point = page.locator("h1").inner_text()
        row = shown.pop((point, page.locator('input[name="swab"]').get_attribute("value")))
        if page.locator("#blank").input_value() != row["blank"]:
            page.locator("summary").tap()
            page.locator("#blank").fill(row["blank"])
        if row["rlu"].startswith("<"):
            go(page, page.get_by_role("button", name="Below detection"))
        else:
            page.locator("#number").fill(row["rlu"])
            go(page, page.get_by_role("button", name="Record"))
        confirm = page.get_by_role("button", name="Yes, record")
        if confirm.count():
            go(page, confirm)
    else:
        go(page, page.locator(".act a, .act button").first)


def go(page, there):
    """Tap what leads on, and wait for the page it leads to."""
    with page.expect_navigation():
        there.tap()


@pytest.fixture(scope="module")
def states(home, address):
    """The pages in every state: early, in the middle with a long name and every verdict, and ended."""
    early = put(home, address, "early")
    middle = put(home, address, "in the middle")
    names = list(middle.places)
    middle.show_draw()
    for name, rlu, swab in ((names[0], "9", "cleaned.1.1"), (names[2], "900", "cleaned.1.1"),
                            (names[3], "382", "cleaned.1.1"), (names[1], "900", "cleaned.1.1"),
                            (names[1], "900", "cleaned.2.1"), (names[1], "900", "cleaned.3.1")):
        put_reading(middle, name, rlu, swab, note="a note\nin two lines")
    put_reading(middle, names[5], "41", dry=False)
    over = put(home, address, "over")
    over.post(f"{over.visit}/ending", {"operation_id": over.reader().store.new_id(), "kind": "stopped",
                                       "reason": "The keys were needed."})
    pages = {f"early {name}": path for name, path in html_pages(early).items()}
    pages |= {f"middle {name}": path for name, path in html_pages(middle).items()}
    pages |= {f"middle {name}": middle.point(name) for name in (*names[:4], names[5])}
    pages |= {f"over {name}": path for name, path in (("visit", over.visit), ("record", f"{over.visit}/record"),
                                                      ("point", over.point(names[0])))}
    pages["missing"] = "/nothing"
    shared = ("today", "ended", "patterns")
    return {name: path for name, path in pages.items() if name not in {f"early {one}" for one in shared}}


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_page_in_every_state_has_no_violation(browser, address, states, scheme):
    axe = Axe()
    with looking(browser, address, color_scheme=scheme) as page:
        for name, path in states.items():
            page.goto(address + path)
            found = axe.run(page, options=AXE).response["violations"]
            assert not found, (name, [(one["id"], [node["html"] for node in one["nodes"]]) for one in found])


def test_every_fault_and_question_of_a_form_has_no_violation(browser, home, address):
    site, axe = put(home, address, "faults"), Axe()
    with looking(browser, address) as page:
        page.goto(f"{address}{site.visit}/ending")
        page.get_by_role("button", name="End the visit").click()
        assert page.locator(".faults").is_visible()
        assert not axe.run(page, options=AXE).response["violations"]
        page.goto(f"{address}{site.point('steering wheel', '/questions')}")
        page.get_by_role("button", name="Go on").click()
        assert page.locator(".fault").count() == 3
        assert not axe.run(page, options=AXE).response["violations"]
        for label in page.get_by_text("Yes", exact=True).all():
            label.click()
        page.get_by_role("button", name="Go on").click()
        for typed, seen in (("1e3", ".fault"), ("1,234", ".question")):
            page.locator("#number").fill(typed)
            page.get_by_role("button", name="Record").click()
            assert page.locator(seen).is_visible()
            assert page.locator("#number").input_value() == typed
            assert not axe.run(page, options=AXE).response["violations"]


@pytest.mark.parametrize("width", [320, 390, 1280])
def test_no_page_is_wider_than_the_screen_and_every_target_is_large_enough(browser, address, states, width):
    with looking(browser, address) as page:
        page.set_viewport_size({"width": width, "height": 844})
        for name, path in states.items():
            page.goto(address + path)
            assert page.evaluate("document.documentElement.scrollWidth") <= width, name
            small = [one for one in page.evaluate(TOO_SMALL, TARGETS) if "plain" not in one[0] or one[2] < 48]
            assert not small, (name, small)


def test_what_has_the_focus_is_not_covered_by_the_bar(browser, address, states):
    with looking(browser, address) as page:
        for name, path in states.items():
            page.goto(address + path)
            assert page.evaluate(COVERED) == [], name


def test_marks_are_drawn_and_the_picture_of_the_record_too(browser, address, states):
    with looking(browser, address) as page:
        page.goto(address + states["middle record"])
        widths = page.evaluate("[...document.querySelectorAll('svg.mark use')].map(one => one.getBBox().width)")
        assert len(widths) >= 6 and min(widths) > 0
        assert page.evaluate("document.querySelector('img.ladder').naturalWidth") == 358


def test_enter_records_the_number_and_no_bound(browser, home, address):
    site = put(home, address, "enter")
    with looking(browser, address) as page:
        page.goto(f"{address}{site.point('steering wheel', '/questions')}")
        for label in page.get_by_text("Yes", exact=True).all():
            label.click()
        with page.expect_navigation():
            page.get_by_role("button", name="Go on").click()
        page.keyboard.type("251")  # the field has the focus
        with page.expect_navigation():
            page.keyboard.press("Enter")
    assert [one.raw for one in site.reader().kept().readings] == ["251"]
