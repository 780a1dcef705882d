"""Today's visits: of every organisation, the one last worked on first, with what to do next."""

import re

from web.site import client_of, hidden, kept, plan_of, put_reading, seal


def names(html):
    return re.findall(r'<span class="name"><bdi>(.*?)</bdi>', html)


def test_open_visits_of_all_organisations_are_listed_with_what_to_do_next(site):
    plan, seed = plan_of("day-room")
    seal(site.home, plan, seed)
    html = site.get("/").text
    assert "2 open visits" in html and set(names(html)) == {"Minibus 1", "Day room"}
    assert "Swab <bdi>steering wheel</bdi> as found" in html
    assert "Clean, then show the 2 drawn points" in html


def test_the_visit_last_worked_on_stands_on_top_and_its_task_at_the_thumb(site):
    plan, seed = plan_of("minibus-2")
    clock = site.client.app.state.desk.clock
    clock(), seal(site.home, plan, seed, clock)
    assert names(site.get("/").text)[0] == "Minibus 2"
    site.read("steering wheel", "251")
    html = site.get("/").text
    assert names(html)[0] == "Minibus 1"
    act = html[html.index('<div class="act">'):]
    assert f'href="{site.visit}"' in act and "Swab <bdi>entry handrail</bdi> as found" in act


def test_ended_visit_leads_to_its_record_and_stands_among_the_ended(finished):
    html = finished.get("/").text
    assert "No visit is open here" in html and "Ended today" in html
    for page in ("/", "/ended"):
        assert f'href="{finished.visit}/record"' in finished.get(page).text
        assert "Finished: every planned point is done." in finished.get(page).text


def test_visit_that_ended_another_day_is_not_today_s(finished):
    desk = finished.client.app.state.desk
    desk.clock.now = desk.clock.now.replace(day=20)
    assert "Ended today" not in finished.get("/").text
    assert f'href="{finished.visit}/record"' in finished.get("/ended").text


def test_empty_data_folder_says_why_it_is_empty_and_what_makes_a_visit(tmp_path):
    with client_of(tmp_path / "none") as client:
        for path, said in (("/", "tersum visit plan"), ("/ended", "No visit has ended yet")):
            assert said in client.get(path).text
    assert not (tmp_path / "none").exists()


def test_organisation_that_cannot_be_opened_says_so_and_the_others_are_shown(site):
    plan, seed = plan_of("day-room")
    seal(site.home, plan, seed)
    room = (site.home / "organisations" / "example-day-room.id").read_text().strip()
    (site.home / "organisations" / f"{room}.sqlite").unlink()
    html = site.get("/").text
    assert "is missing, though its organisation is known. Restore a backup." in html
    assert names(html) == ["Minibus 1"]


def test_visit_made_while_the_pages_are_open_appears(site):
    assert names(site.get("/").text) == ["Minibus 1"]
    plan, seed = plan_of("minibus-3")
    seal(site.home, plan, seed)
    assert "Minibus 3" in names(site.get("/").text)


def test_hidden_fields_are_read_back_as_they_were_written():
    assert hidden('<input type="hidden" name="a" value="&#34;&lt;1&gt;">') == {"a": '"<1>'}


def test_the_hash_of_a_data_folder_shows_a_change(site):
    before = kept(site.home)
    put_reading(site, "steering wheel", "251", "as_found.1.1")
    assert kept(site.home) != before
