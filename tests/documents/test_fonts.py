"""The fonts: what they cover is printed, what they do not is refused by name."""

import unicodedata

import pytest
import typst
from fontTools.ttLib import TTFont

from tersum.documents import fonts
from tersum.errors import Faults


@pytest.mark.parametrize("weight", sorted(fonts.FACES))
def test_letters_and_widths_are_those_a_font_library_reads(weight):
    font = TTFont(f"{fonts.folder()}/{fonts.FACES[weight]}")
    letters, metrics = font.getBestCmap(), font["hmtx"]
    read = fonts.face(weight).widths
    assert {point for point in letters if point < 0xFFFF} == set(read)
    per_em = font["head"].unitsPerEm
    assert all(read[point] == metrics[letters[point]][0] * 1000 / per_em for point in read)


def test_every_letter_said_to_be_printable_is_printed():
    """Typst refuses a letter without a shape under PDF/UA, so one page with all of them proves the statement."""
    letters = "".join(map(chr, sorted(set(fonts.face().widths) & set(fonts.face(600).widths))))
    letters = "".join(mark for mark in letters if fonts.printable(mark) and mark.isprintable())
    for mark in map(chr, sorted(fonts.INSIDE_TYPST)):  # vowel signs need a letter of their own script to sit on
        alef = "\u05d0" if mark < "\u0600" else "\u0627"
        letters += alef + mark if unicodedata.combining(mark) else mark
    families = ", ".join(f'"{name}"' for name in fonts.FAMILIES)
    source = (f'#set document(title: "x", date: none)\n#set text(font: ({families}))\n'
              '#sys.inputs.letters')
    compiler = typst.Compiler(font_paths=typst.Fonts(include_system_fonts=False, font_paths=[fonts.folder()]))
    assert len(letters) > 1200
    made = compiler.compile(input=source.encode(), format="pdf", pdf_standards=["ua-1"],
                            sys_inputs={"letters": letters})
    assert made[:5] == b"%PDF-"


@pytest.mark.parametrize("name", ["Łódź", "Αθήνα", "Київ", "שלום", "مرحبا بالعالم", "Đà Nẵng", "#strong[x]", "½ µg"])
def test_names_in_covered_scripts_pass(name):
    fonts.check([("place", name)])


@pytest.mark.parametrize(("name", "said"), [
    ("北京", "U+4EAC CJK"), ("กรุงเทพ", "THAI"), ("🚐", "U+1F690 MINIBUS"), ("a\u202eb", "RIGHT-TO-LEFT OVERRIDE"),
    ("a\x00b", "U+0000"), ("a\x1bb", "U+001B"),
])
def test_names_in_other_scripts_are_refused_by_name(name, said):
    with pytest.raises(Faults) as refused:
        fonts.check([("place", name), ("note", "fine")])
    assert len(refused.value.faults) == 1
    assert said in refused.value.sentence() and "place" in refused.value.sentence()
    assert "Latin, Greek, Cyrillic" in refused.value.sentence()


def test_all_texts_at_fault_are_told_at_once():
    with pytest.raises(Faults) as refused:
        fonts.check([("place", "北京"), ("note", "🚐")])
    assert [fault.field for fault in refused.value.faults] == ["place", "note"]


def test_wrapped_lines_fit_and_lose_nothing():
    text = "wheelchair ramp grip and averylongwordwithoutanyplacetobreakit at the door"
    lines = fonts.wrapped(text, 14.0, 90.0)
    assert all(fonts.face().width(line, 14.0) <= 90.0 for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")


def test_missing_font_package_says_what_to_do(monkeypatch):
    monkeypatch.setattr(fonts, "PACKAGE", "no_such_font_package")
    fonts._package_folder.cache_clear()
    try:
        with pytest.raises(Exception, match="font package no-such-font-package is not installed; run: make setup"):
            fonts._package_folder()
    finally:
        fonts._package_folder.cache_clear()
