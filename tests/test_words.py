"""What no text may claim: sterile, germ-free, safe, kills; looked for in every text and template."""

import ast
import re
from pathlib import Path

import pytest

SOURCE = Path(__file__).resolve().parent.parent / "src" / "tersum"
NEVER = re.compile(r"\b(sterile|sterili[sz]\w*|germ-?free|germs?|safe|safely|kills?|killed|killing|risk-free|"
                   r"guaranteed?|virus-free)\b", re.IGNORECASE)
# Where such a word is another word: a document that is called so, a filter of templates, the rim of a screen.
ANOTHER_WORD = re.compile(r"safety data sheets?|\| *safe\b|safe-area-inset", re.IGNORECASE)
FILES = sorted(SOURCE.rglob("*.py"))
TEMPLATES = sorted(path for path in SOURCE.rglob("*") if path.suffix in (".html", ".typ", ".js", ".css", ".svg", ".po")
                   and "vendor" not in path.parts)


def texts(path):
    """Yield the texts of a Python file that people can be shown: every constant but docstrings, with its line."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    documentation = {id(node.body[0].value) for node in ast.walk(tree)
                     if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef)
                     and node.body and isinstance(node.body[0], ast.Expr)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in documentation:
            yield node.lineno, node.value


def claims(text):
    return NEVER.findall(ANOTHER_WORD.sub(" ", text))


def shown_to_people(text):
    """Tell whether a text is prose: a name of code such as a field or an attribute has no blank in it."""
    return " " in text.strip()


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(SOURCE)))
def test_no_text_claims_what_no_reading_shows(path):
    found = [(line, text) for line, text in texts(path) if shown_to_people(text) and claims(text)]
    assert not found


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: str(path.relative_to(SOURCE)))
def test_no_template_claims_what_no_reading_shows(path):
    assert not [line for line in path.read_text(encoding="utf-8").splitlines() if claims(line)]


def test_texts_are_found_and_claims_are_seen():
    assert len(FILES) > 50
    found = [text for _, text in texts(SOURCE / "documents" / "sentences.py")]
    assert any("release level" in text for text in found)
    assert claims("The seat is safe and germ-free.") == ["safe", "germ-free"]
    assert claims("Read the safety data sheet.") == []
    assert not any(text.startswith("Verdicts, their reasons") for text in found)
