"""The visit record says what the facts say, in the same bytes each time, and refuses what it cannot print."""

import dataclasses
import io
import re
from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pikepdf
import pytest

from documents import sample_records
from documents.poppler import pages_of, text_of
from tersum.documents import sentences
from tersum.documents.numbers import number_text
from tersum.documents.text import PSEUDO_LOCALE
from tersum.documents.visit_record import headline, record_page, record_pdf
from tersum.errors import Faults, OutOfRange
from tersum.evidence.repeatability import repeatability_limit
from tersum.visit.contact import seen_wet
from tersum.visit.outcome import ENDINGS, Ending
from tersum.visit.ph_check import ph_checks

SAMPLES = ["finished", "unfinished", "not_measured", "large"]
NUMBER = re.compile(r"(?<![\w.])\d+(?:\.\d+)?(?![\w]*[a-zA-Z]\d)")


def numbers_in(value):
    """Every number a record holds, in whatever part of it."""
    if isinstance(value, bool) or value is None:
        return
    if isinstance(value, int | float):
        yield float(value)
    elif isinstance(value, str):
        yield from map(float, re.findall(r"\d+(?:\.\d+)?", value))
    elif isinstance(value, datetime):
        there = value.astimezone(ZoneInfo("Europe/Rome"))
        yield from (float(one) for one in (there.year, there.month, there.day, there.hour, there.minute))
    elif dataclasses.is_dataclass(value):
        for one in dataclasses.fields(value):
            yield from numbers_in(getattr(value, one.name))
    elif isinstance(value, Mapping):
        for one in value.values():
            yield from numbers_in(one)
    elif isinstance(value, tuple | list):
        for one in value:
            yield from numbers_in(one)


def derived(record):
    """Numbers that the record computes from others: percents, factors, counts, ages, fractions of a limit."""
    for work in record.work:
        if work.concentrate_ml:
            yield 100.0 * work.concentrate_ml / (work.concentrate_ml + work.water_ml)
        if work.wet:
            seen = seen_wet(work.wet, work.started, work.finished)
            yield from (seen.low_min, seen.high_min)
    for check in ph_checks(record.work, record.cards, record.plan.water):
        yield from (check.low, check.high)
    for work in record.work:
        if work.ph:
            yield 2.0 * work.ph.u
    for needs in record.needs.values():
        yield from (100.0 * needs.least_frac, 100.0 * needs.most_frac)
    for reading in record.readings:
        if reading.at:
            yield from numbers_in(datetime.fromisoformat(reading.at))
    yield 100.0 * record.plan.terms.risk
    yield float(10.0 ** repeatability_limit(record.plan.terms.spread_log10))
    yield from (19.0, 20.0, 10.0, 0.01, 0.1, 1.0, 2.0, 5.0, 100.0, 1000.0)  # "19 of 20 pairs", log10, ticks
    yield from map(float, range(len(record.readings) + 40))  # counts and pages
    yield 1.0  # UTC+01:00
    yield 0.0


@pytest.mark.parametrize("name", SAMPLES)
def test_every_number_on_the_record_is_a_number_of_the_facts(name, tmp_path):
    record = getattr(sample_records, name)()
    page = record_page(record)
    # Codes and hashes are compared as texts below, not as numbers.
    text = text_of(record_pdf(record), tmp_path)
    for code in (*page["keywords"], record.number, record.draw_commitment, page["foot"]):
        for word in code.split():
            text = text.replace(word, " ")
    grouped = re.sub(r"(?:\b[0-9a-f]{4} ){3,}[0-9a-f]{4}\b", " ", text)
    known = sorted({*numbers_in(record), *derived(record)})
    for found in re.findall(r"(?<![\w.])\d+(?:\.\d+)?(?![\w.])", grouped):
        shown = float(found)
        half = 0.5 * 10.0 ** -len(found.partition(".")[2]) + 1e-9
        assert any(abs(shown - one) <= half for one in known), f"{found} stands on the record and in no fact"


@pytest.mark.parametrize("name", SAMPLES)
def test_every_reading_and_every_decision_stands_on_the_record(name, tmp_path):
    record = getattr(sample_records, name)()
    text = text_of(record_pdf(record), tmp_path, "-layout")
    for reading in record.readings:
        assert reading.raw in text and reading.point in text
        if reading.note:
            assert reading.note in text
    for decision in record.decisions:
        assert sentences.verdict_word(decision.verdict) in text
        for value in (decision.limit_rlu, decision.release_level_rlu, decision.geometric_mean_rlu):
            assert value is None or number_text(value) in text
        if decision.verdict != "done":
            assert sentences.why(decision).split(".")[0][:30] in text
    for limit in record.plan.limits:
        assert limit.basis in text
    assert record.head.hash[:4] in text and record.number in text


def test_the_sentence_on_top_is_the_statement():
    assert headline(sample_records.finished()) == (
        "Minibus 1: 6 of 6 swabbed points at or below the release level; points not swabbed were not measured.")
    assert headline(sample_records.not_measured()) == "Minibus 1: nothing was measured."


def test_an_honest_ending_says_so_with_its_reason_and_what_is_left(tmp_path):
    text = text_of(record_pdf(sample_records.unfinished()), tmp_path)
    for words in ("Handed over with open points", "the vehicle was needed for the afternoon tour", "What is left",
                  "Disinfection: not carried out as planned", "seen wet for 3 min", "not counted: the surface was wet",
                  "rinse after washing: not carried out"):
        assert words in text, words


def test_nothing_is_claimed_that_no_reading_shows(tmp_path):
    for name in SAMPLES:
        text = text_of(record_pdf(getattr(sample_records, name)()), tmp_path).lower()
        assert not re.search(r"\b(sterile|germ-free|kills?|safe)\b", text)
        assert "does not show viruses" in text


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("name", SAMPLES[:3])
def test_same_record_gives_the_same_bytes(name, paper):
    first = record_pdf(getattr(sample_records, name)(), paper=paper)
    assert first == record_pdf(getattr(sample_records, name)(), paper=paper)


def test_no_machine_language_or_zone_enters(monkeypatch, unsigned, record):
    import time

    monkeypatch.setenv("TZ", "Pacific/Auckland")
    monkeypatch.setenv("TERSUM_LANG", PSEUDO_LOCALE)
    monkeypatch.setenv("LC_ALL", "ar_EG.UTF-8")
    time.tzset()
    try:
        assert record_pdf(record) == unsigned
    finally:
        monkeypatch.undo()
        time.tzset()


def test_both_papers_say_the_same(tmp_path, record):
    a4, letter = record_pdf(record), record_pdf(record, paper="letter")
    assert pages_of(a4, tmp_path)[1].endswith("(A4)") and "(letter)" in pages_of(letter, tmp_path)[1]
    page = re.compile(r"page \d+ of \d+")
    words = [sorted(page.sub("", text_of(pdf, tmp_path)).split()) for pdf in (a4, letter)]
    assert set(words[0]) == set(words[1])


def test_it_is_tagged_and_says_which_standards_it_keeps(unsigned):
    with pikepdf.open(io.BytesIO(unsigned)) as pdf:
        root = pdf.Root
        assert root.MarkInfo.Marked and "/StructTreeRoot" in root and str(root.Lang) == "en"
        about = pdf.open_metadata()
        assert about["pdfaid:part"] == "2" and about["pdfaid:conformance"] == "A" and about["pdfuaid:part"] == "1"
        assert about["dc:title"].startswith("Visit record example-2026-0001")
        kinds = {str(one.get("/S", "")) for one in pdf.objects if isinstance(one, pikepdf.Dictionary)}
        assert {"/H1", "/H2", "/Table", "/TH", "/TD", "/Figure", "/L"} <= kinds
        pictures = [one for one in pdf.objects if isinstance(one, pikepdf.Dictionary) and one.get("/S") == "/Figure"]
        assert pictures and all("/Alt" in one for one in pictures)
        fonts = [one for one in pdf.objects if isinstance(one, pikepdf.Dictionary)
                 and one.get("/Type") == "/FontDescriptor"]
        assert fonts and all("/FontFile2" in one or "/FontFile3" in one for one in fonts)


def test_its_texts_are_translated(tmp_path):
    text = text_of(record_pdf(sample_records.unfinished(), lang=PSEUDO_LOCALE), tmp_path)
    assert "⟦" in text
    for words in ("Visit record", "clean again", "What is left", "not counted", "page 1"):
        assert words not in text


@pytest.mark.parametrize("kind", ENDINGS[1:])
def test_every_ending_is_drawn(kind):
    record = replace(sample_records.unfinished(), ending=Ending(kind, "a reason", ("seat",)))
    assert record_pdf(record).startswith(b"%PDF-")


def test_400_points_fit(tmp_path):
    record = sample_records.large(400)
    pdf = record_pdf(record)
    pages, _size = pages_of(pdf, tmp_path)
    assert 20 < pages < 60
    text = text_of(pdf, tmp_path)
    assert all(decision.point in text for decision in record.decisions)


HOSTILE = "*a* #b $c$ <d> _e_ [f] \\g `h` @i =j //k"


def hostile(value):
    """The same structure with markup in every free text."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        free = {"place", "basis", "what", "reason", "note", "lot", "swab_lot", "cloth", "person", "number"}
        return replace(value, **{one.name: f"{HOSTILE} {getattr(value, one.name)}"
                                 if one.name in free and isinstance(getattr(value, one.name), str)
                                 else hostile(getattr(value, one.name)) for one in dataclasses.fields(value)
                                 if one.init})
    return tuple(map(hostile, value)) if isinstance(value, tuple) else value


def test_markup_in_every_field_stays_text(tmp_path):
    record = hostile(sample_records.unfinished())
    text = text_of(record_pdf(record), tmp_path, "-layout")
    assert text.count("*a* #b $c$ <d>") >= 8
    assert "@i =j //k" in text


def test_line_breaks_in_a_field_stay_line_breaks(tmp_path):
    record = sample_records.unfinished()
    noted = replace(record.readings[0], note="first line\nsecond line\n\n= not a heading")
    text = text_of(record_pdf(replace(record, readings=(noted, *record.readings[1:]))), tmp_path)
    assert "first line second line = not a heading" in text


@pytest.mark.parametrize("name", ["מיניבוס 1", "حافلة صغيرة 1", "Ελληνικό 1", "Мікроавтобус 1"])
def test_names_in_every_covered_script_are_printed(name, tmp_path):
    record = sample_records.finished()
    record = replace(record, plan=replace(record.plan, place=name))
    text = text_of(record_pdf(record), tmp_path)
    letters = [mark for mark in name if mark.isalpha()]
    assert sum(mark in text for mark in letters) >= 0.7 * len(letters)  # joined Arabic letters come back as one


def test_texts_in_other_scripts_are_refused_by_name_and_place():
    record = sample_records.unfinished()
    noted = replace(record.readings[0], note="座席が濡れている")
    record = replace(record, plan=replace(record.plan, place="北京 1"), readings=(noted, *record.readings[1:]))
    with pytest.raises(Faults) as refused:
        record_pdf(record)
    told = refused.value.sentence()
    assert "plan place cannot be printed" in told and "U+4EAC" in told
    assert "readings 1 note cannot be printed" in told


def test_a_note_the_size_of_a_picture_is_refused():
    record = sample_records.finished()
    noted = replace(record.readings[0], note="/9j/4AAQSkZJRg" * 200_000)
    with pytest.raises(Faults, match="2800000 characters; accepted: at most 2000 characters"):
        record_pdf(replace(record, readings=(noted, *record.readings[1:])))


def test_a_moment_without_its_zone_is_refused():
    with pytest.raises(OutOfRange, match="a moment with its time zone"):
        record_pdf(replace(sample_records.finished(), issued_at=datetime(2026, 3, 2, 10, 0)))


def test_an_unknown_paper_is_refused():
    with pytest.raises(Exception, match="a4, letter"):
        record_pdf(sample_records.finished(), paper="a3")


def test_the_check_code_follows_every_fact():
    def code(record):
        return record_page(record)["keywords"][1]

    record = sample_records.finished()
    first = code(record)
    assert code(sample_records.finished()) == first
    changed = [replace(record, number="example-2026-0002"), replace(record, issued_at=record.issued_at + timedelta(1)),
               replace(record, readings=(replace(record.readings[0], raw="1451"), *record.readings[1:])),
               replace(record, head=replace(record.head, hash="cd" * 32)), replace(record, key_id="f" * 32)]
    assert len({code(one) for one in changed} | {first}) == len(changed) + 1
