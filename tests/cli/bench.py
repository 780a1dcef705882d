"""Running a command of the bench as from a shell."""

import json

import pytest

from tersum.cli.main import run


def call(capsys, *words):
    """Return exit code, stdout and stderr."""
    with pytest.raises(SystemExit) as left:
        run([str(word) for word in words])
    out, err = capsys.readouterr()
    return left.value.code or 0, out, err


def told(capsys, *words):
    """Return exit code and the JSON object that a command prints."""
    code, out, _err = call(capsys, *words, "--json")
    return code, json.loads(out)


def fields(body):
    """Return what the faults of an error object are about."""
    assert body["schema"] == "tersum/error/1"
    return [fault["field"] for fault in body["faults"]]
