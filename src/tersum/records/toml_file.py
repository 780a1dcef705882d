"""Reading a TOML file that a person wrote: found, small, UTF-8, well formed, or refused in one sentence."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence

from tersum.errors import N_, Faults, TersumError
from tersum.records.intake import RowFault, open_input, refusal

LARGEST_BYTES = 1 << 20


def read_toml(path: str) -> dict[str, object]:
    """Return the tables of a TOML file.

    Raises
    ------
    RowFault
        If there is no such file, or it is a folder, too large, not UTF-8, or not TOML.
    """
    with open_input(path) as stream:
        data = stream.read(LARGEST_BYTES + 1)
    if len(data) > LARGEST_BYTES:
        raise RowFault(path, refusal("too-large", N_("the file is larger than {most} bytes; accepted: {accepted}."), "",
                                     "", N_("a small file written by hand"), most=LARGEST_BYTES))
    try:
        return tomllib.loads(data.decode("utf-8-sig"))
    except UnicodeDecodeError as wrong:
        row = data[:wrong.start].count(b"\n") + 1
        raise RowFault(path, refusal("wrong-encoding", N_("the file is not UTF-8: got {value}; accepted: {accepted}."),
                                     "", f"\\x{data[wrong.start]:02X}", N_("a file saved as UTF-8")),
                       row=row) from None
    except (ValueError, RecursionError) as wrong:
        raise RowFault(path, refusal("not-toml", N_("the file is not TOML ({why}); accepted: {accepted}."), "", "",
                                     N_("lines such as rlu = 250, and tables such as [[limit]]"), why=wrong)) from None


def placed(path: str, faults: Sequence[TersumError]) -> Faults:
    """Return the faults of a file's tables, each with the name of the file."""
    return Faults([RowFault(path, fault) for fault in faults])
