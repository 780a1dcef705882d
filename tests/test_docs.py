"""What the pages show is run: Python blocks, console blocks, examples of the code; and nothing goes undocumented."""

import doctest
import importlib
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tersum.cli.main import COMMANDS

ROOT = Path(__file__).resolve().parent.parent
SOURCE = ROOT / "src"
INDEX = ROOT / "docs" / "index.md"
README = ROOT / "README.md"
PAGES = [README, *sorted((ROOT / "docs").rglob("*.md"))]
# Migrations are run by their own tool and cannot be imported by themselves; __main__ would start the command.
MODULES = [path for path in sorted(SOURCE.rglob("*.py")) if "migrations" not in path.parts and path.stem != "__main__"]
# Kept with the project to be computed with or compared against: each is named where a reader can find it.
DATA_FILES = [path for folder, kind in (("src/tersum/catalogue/data", "*.toml"), ("authorities", "*.*"),
                                        ("tests/published", "*.toml"), ("examples", "*"))
              for path in sorted((ROOT / folder).glob(kind)) if not path.name.startswith(".")]


def name_of(path):
    return str(path.relative_to(ROOT))


def blocks(text, language):
    """Return the first line and the text of each fenced block of one language."""
    for found in re.finditer(rf"^```{language}\n(.*?)^```$", text, re.M | re.S):
        yield text.count("\n", 0, found.start(1)), found.group(1)


@pytest.mark.parametrize("page", PAGES, ids=name_of)
def test_python_blocks_of_a_page_show_what_they_print(page):
    text, names = page.read_text(encoding="utf-8"), {}
    runner = doctest.DocTestRunner()
    report = []
    for line, block in blocks(text, "pycon"):
        example = doctest.DocTestParser().get_doctest(block, names, name_of(page), name_of(page), line)
        runner.run(example, out=report.append, clear_globs=False)
        names.update(example.globs)
    assert not runner.failures, "".join(report)


@pytest.mark.parametrize("page", PAGES, ids=name_of)
def test_no_python_example_of_a_page_escapes_the_run(page):
    text = page.read_text(encoding="utf-8")
    inside = sum(block.count(">>>") for _, block in blocks(text, "pycon"))
    assert text.count(">>>") == inside, "an example stands outside a pycon block"


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(SOURCE)))
def test_examples_of_the_code_show_what_they_print(path):
    parts = path.relative_to(SOURCE).with_suffix("").parts
    module = importlib.import_module(".".join(part for part in parts if part != "__init__"))
    report = []
    runner = doctest.DocTestRunner()
    for example in doctest.DocTestFinder(exclude_empty=True).find(module):
        runner.run(example, out=report.append)
    assert not runner.failures, "".join(report)


@pytest.mark.parametrize("page", PAGES, ids=name_of)
def test_commands_of_a_page_print_what_it_shows(page, tmp_path):
    desk = tmp_path / "desk"
    desk.mkdir()
    shutil.copytree(ROOT / "examples", desk / "examples")
    environment = {**os.environ, "PATH": f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}",
                   "PYTHONUNBUFFERED": "1", "NO_COLOR": "1", "TERSUM_LANG": "en", "TZ": "UTC",
                   "TERSUM_HOME": str(tmp_path / "home")}
    for line, block in blocks(page.read_text(encoding="utf-8"), "console"):
        for command, shown in commands(block):
            done = subprocess.run(["bash", "-c", command], cwd=desk, env=environment, text=True, timeout=120,
                                  stdout=subprocess.PIPE, stderr=subprocess.STDOUT)
            where = f"{name_of(page)}, block at line {line}: {command}\nprinted, with exit code {done.returncode}:\n"
            if shown:
                assert looks_like(done.stdout, shown), f"{where}{done.stdout}\nbut the page shows:\n{shown}"
            else:
                assert done.returncode in (0, 1), where + done.stdout
            assert done.returncode != 70 and "Traceback" not in done.stdout, where + done.stdout


def commands(block):
    r"""Return each ``$ tersum`` command of a block with what is shown below it; ``\`` goes on with the next line."""
    for piece in re.split(r"^\$ ", block.replace("\\\n", " "), flags=re.M)[1:]:
        command, _, shown = piece.partition("\n")
        if command.split()[0] == "tersum":
            yield command, shown.strip("\n")


def looks_like(printed, shown):
    """Tell whether a text is what a page shows; a line of three dots stands for any lines, in a line for any text."""
    pattern = ""
    for line in shown.splitlines():
        if line.strip() == "...":
            pattern += r"(?:.*\n)*?"
        else:
            pattern += r".*?".join(re.escape(part) for part in line.rstrip().split("...")) + r"[ \t]*\n"
    return re.fullmatch(pattern, printed.strip("\n") + "\n") is not None


@pytest.mark.parametrize(("printed", "shown", "alike"), [
    ("a\nb\nc\n", "a\n...\nc", True), ("a\nc\n", "a\n...\nc", True), ("a\nb\n", "a", False),
    ("a b c\n", "a ... c", True), ("a\nb\n", "a\n...", True), ("x\nb\n", "a\n...", False), ("a  \n", "a", True),
    ("1.5\n", "1x5", False),
])
def test_three_dots_stand_for_what_a_page_leaves_out(printed, shown, alike):
    assert looks_like(printed, shown) is alike


def test_a_block_gives_its_commands_with_what_each_shows():
    block = "$ tersum mix --volume-ml 5 \\\n    --ratio 1+20\none\ntwo\n$ make run\nthree\n$ tersum doctor\n"
    assert list(commands(block)) == [("tersum mix --volume-ml 5      --ratio 1+20", "one\ntwo"), ("tersum doctor", "")]


@pytest.mark.parametrize("page", PAGES, ids=name_of)
def test_links_of_a_page_lead_somewhere(page):
    for target in re.findall(r"\]\(([^)#\s]+)[^)]*\)", page.read_text(encoding="utf-8")):
        if not re.match(r"[a-z]+:", target):
            assert (page.parent / target).exists(), f"{name_of(page)} links to {target}"


@pytest.mark.parametrize("page", [page for page in PAGES if page not in (README, INDEX)], ids=name_of)
def test_page_stands_in_the_table_of_contents(page):
    assert f"]({page.relative_to(INDEX.parent)}" in INDEX.read_text(encoding="utf-8")


@pytest.mark.parametrize("command", sorted(COMMANDS))
def test_command_is_documented(command):
    assert any(f"`tersum {command}`" in page.read_text(encoding="utf-8") for page in (INDEX, README))


@pytest.mark.parametrize("path", DATA_FILES, ids=name_of)
def test_data_file_is_documented(path):
    assert f"`{path.name}`" in INDEX.read_text(encoding="utf-8")


def test_pages_code_and_data_are_found():
    assert len(PAGES) > 5 and len(MODULES) > 20 and len(DATA_FILES) > 5
    assert any(">>>" in page.read_text(encoding="utf-8") for page in PAGES)
