"""``tersum chart``: from what ``tersum decide --json`` prints to a picture, whole or not there."""

import io
import json
import struct
import sys
import xml.etree.ElementTree as ElementTree
from dataclasses import dataclass
from pathlib import Path

import pytest

from tersum.cli.main import run

READINGS = Path(__file__).resolve().parents[2] / "examples" / "minibus-2" / "readings.csv"


@dataclass(frozen=True)
class Done:
    """What a command left with and printed."""

    returncode: int
    stdout: bytes
    stderr: bytes


@pytest.fixture
def tersum(capsysbinary, monkeypatch):
    """Run the command as from a shell."""
    def call(*words, stdin=b""):
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(stdin)))
        with pytest.raises(SystemExit) as left:
            run([str(word) for word in words])
        return Done(left.value.code or 0, *capsysbinary.readouterr())
    return call


@pytest.fixture
def decisions(tmp_path_factory, tersum):
    """The decisions of an example, as printed."""
    path = tmp_path_factory.mktemp("decisions") / "decisions.json"
    path.write_bytes(tersum("decide", READINGS, "--limit", "250", "--json").stdout)
    return path


def test_ladder_has_every_point_and_the_same_bytes_twice(decisions, tmp_path, tersum):
    out = tmp_path / "ladder.svg"
    assert tersum("chart", "ladder", decisions, "--out", out, "--width", 390).returncode == 0
    first = out.read_bytes()
    assert tersum("chart", "ladder", decisions, "--out", out, "--width", 390).returncode == 0
    assert out.read_bytes() == first
    text = " ".join(one.text or "" for one in ElementTree.fromstring(first).iter())
    for point in json.loads(decisions.read_text())["points"]:
        assert point["point"] in text
    assert ElementTree.fromstring(first).get("width") == "390"


def test_png_has_the_asked_size_and_the_definition_is_vega_lite(decisions, tmp_path, tersum):
    out = tmp_path / "ladder.png"
    assert tersum("chart", "ladder", decisions, "--out", out, "--width", 640, "--scale", 1.5).returncode == 0
    body = out.read_bytes()
    assert body[:8] == b"\x89PNG\r\n\x1a\n" and struct.unpack(">I", body[16:20])[0] == 960
    out = tmp_path / "ladder.json"
    assert tersum("chart", "ladder", decisions, "--out", out).returncode == 0
    definition = json.loads(out.read_text())
    assert definition["$schema"].endswith("/v6.json") and definition["layer"]


def test_it_reads_and_writes_the_standard_streams(decisions, tersum):
    done = tersum("chart", "ladder", "-", "--out", "-", stdin=decisions.read_bytes())
    assert done.returncode == 0 and done.stdout.startswith(b"<svg")


def test_readings_and_curve_are_drawn(tmp_path, tersum):
    out = tmp_path / "time.svg"
    done = tersum("chart", "readings", READINGS, "--limit", "250", "--zone", "Europe/Rome", "--out", out)
    assert done.returncode == 0
    assert "limit 250" in out.read_text()
    done = tersum("chart", "curve", "--looks", 3, "--out", tmp_path / "curve.svg", "--json")
    said = json.loads(done.stdout)
    assert said["schema"] == "tersum/chart/1" and said["width_px"] == 640
    assert "within 3 looks" in (tmp_path / "curve.svg").read_text()


def test_rows_with_a_fault_are_told_and_left_out(tmp_path, tersum):
    table = tmp_path / "readings.csv"
    table.write_text("point,stage,rlu,at\nseat,cleaned,40,2026-03-02T10:00:00Z\nseat,cleaned,1e3,\n")
    done = tersum("chart", "readings", table, "--out", tmp_path / "time.svg")
    assert done.returncode == 3 and b"row 3" in done.stderr
    assert (tmp_path / "time.svg").exists()


@pytest.mark.parametrize(("change", "words"), [
    (b"{}", b"schema is missing"), (b"[1]", b"schema is missing"), (b"not json", b"not JSON"),
    (b'{"schema": "tersum/mix/1", "points": []}', b"schema is not known"),
    (b'{"schema": "tersum/decisions/1", "points": [{"point": "a", "stage": "cleaned", "verdict": "good", "n": 1}]}',
     b"verdict is not known"),
    (b'{"schema": "tersum/decisions/1", "points": [{"point": "a", "stage": "cleaned", "verdict": "done", "n": 1, '
     b'"geometric_mean_rlu": -4}]}', b"above 0"),
    (b'{"schema": "tersum/decisions/1", "points": [{"n": NaN}]}', b"NaN is no number"),
    (b"\xff\xfe", b"not JSON"),
])
def test_a_file_that_holds_no_decisions_is_refused(change, words, tmp_path, tersum):
    path = tmp_path / "decisions.json"
    path.write_bytes(change)
    done = tersum("chart", "ladder", path, "--out", tmp_path / "ladder.svg")
    assert done.returncode == 3 and words in done.stderr and b"Traceback" not in done.stderr
    assert not (tmp_path / "ladder.svg").exists()


@pytest.mark.parametrize(("args", "code", "words"), [
    (["--out", "x.gif"], 3, b"ending in .svg, .png or .json"),
    (["--out", "x.svg", "--width", "100"], 2, b"280<=x<=2400"),
    (["--out", "x.png", "--scale", "99"], 3, b"0.5 to 8"), (["--out", "no/such/folder/x.svg"], 7, b"no/such/folder"),
    (["--out", "x.svg", "--theme", "sepia"], 2, b"light"),
])
def test_misuse_is_told_and_nothing_is_left(args, code, words, decisions, tmp_path, monkeypatch, tersum):
    monkeypatch.chdir(tmp_path)
    done = tersum("chart", "ladder", decisions, *args)
    assert done.returncode == code and words in done.stderr, done.stderr
    assert list(tmp_path.iterdir()) == []
