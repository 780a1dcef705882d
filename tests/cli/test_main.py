"""The way in: it ends quietly where nobody reads, and without a traceback where somebody stops it."""

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
DECIDE = "tersum decide examples/minibus-1/readings.csv --limit 2000"


@pytest.mark.parametrize(("closed", "code"), [(">&-", 0), (">&- 2>&-", 0), ("--json >&-", 0)])
def test_closed_output_ends_quietly_with_the_answer(closed, code):
    done = subprocess.run(["bash", "-c", f"{DECIDE.replace('tersum', sys.executable + ' -m tersum')} {closed}"],
                          capture_output=True, text=True, cwd=ROOT, timeout=120)
    assert done.returncode == code, done.stderr
    assert "Internal error" not in done.stderr and done.stdout == ""


def test_interruption_while_modules_are_read_shows_no_traceback(tmp_path):
    """A module that is interrupted as it is read, as by Ctrl-C in the first tenth of a second."""
    code = ("import sys, importlib.abc\n"
            "class Stop(importlib.abc.MetaPathFinder):\n"
            "    def find_spec(self, name, path, target=None):\n"
            "        if name == 'tersum.cli.main': raise KeyboardInterrupt\n"
            "sys.meta_path.insert(0, Stop())\n"
            "from tersum.__main__ import main\n"
            "sys.argv = ['tersum', 'doctor']\n"
            "main()\n")
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, timeout=120)
    assert (done.returncode, done.stdout, done.stderr) == (130, "", "")
