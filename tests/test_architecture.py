"""The rooms and their arrows: a room imports only rooms below it, and the sciences touch nothing outside."""

import ast
from pathlib import Path

import pytest

SOURCE = Path(__file__).resolve().parent.parent / "src" / "tersum"
# Rooms from the ground up; those on one floor do not know each other.
FLOORS = [
    ["errors"],
    ["units", "fields", "arguments"],
    ["catalogue"],
    ["chemistry", "lethality", "evidence"],
    ["visit", "simulator", "business"],
    ["records"],
    ["history"],
    ["documents"],
    ["web"],
    ["cli"],  # it starts the pages
    ["__main__"],
]
FLOOR = {room: height for height, rooms in enumerate(FLOORS) for room in rooms}
# What plain computation must not touch: files, clocks, sockets, databases, screens, hidden randomness.
OUTSIDE = {"os", "io", "pathlib", "socket", "sqlite3", "sqlalchemy", "time", "random", "secrets", "subprocess", "click",
           "rich", "jinja2", "starlette", "tempfile", "shutil", "platformdirs", "uuid", "uuid_utils", "gettext"}
PURE = {"errors", "units", "fields", "arguments", "catalogue", "chemistry", "lethality", "evidence", "visit",
        "simulator"}
READERS = {"catalogue/load.py"}
FILES = sorted(SOURCE.rglob("*.py"))


def room_of(path):
    first = path.relative_to(SOURCE).parts[0]
    return first.removesuffix(".py")


def imported(path):
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (name.name for name in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            base = node.module or ""
            yield from (f"{base}.{name.name}" for name in node.names) if base == "tersum" else (base,)


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(SOURCE)))
def test_room_imports_only_rooms_below_it(path):
    room = room_of(path)
    if room == "__init__":
        return
    assert room in FLOOR, f"{room} is not a room of the house"
    for name in imported(path):
        parts = name.split(".")
        if parts[0] != "tersum" or len(parts) == 1 or parts[1] in (room, "__version__"):
            continue
        assert FLOOR[parts[1]] < FLOOR[room], f"{room} imports {name}, which does not lie below it"


@pytest.mark.parametrize("path", [path for path in FILES if room_of(path) in PURE],
                         ids=lambda path: str(path.relative_to(SOURCE)))
def test_plain_computation_touches_nothing_outside(path):
    if str(path.relative_to(SOURCE)) in READERS:
        return
    text = path.read_text(encoding="utf-8")
    touched = {name.split(".")[0] for name in imported(path)} & OUTSIDE
    assert not touched, f"{path.name} imports {touched}"
    for forbidden in ("open(", "datetime.now", "np.random.seed", "default_rng()", "print("):
        assert forbidden not in text, f"{path.name} uses {forbidden}"


def test_pure_rooms_are_found():
    assert {room_of(path) for path in FILES} >= {"errors", "catalogue", "evidence", "visit", "records", "cli"}
