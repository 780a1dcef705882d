"""The command line library's own texts (Usage, Options, No such option) in the language of all the others."""

from __future__ import annotations

import importlib

from tersum.documents.text import _, ngettext

_MODULES = ("core", "decorators", "exceptions", "formatting", "parser", "termui", "types")


def speak() -> None:
    """Let click look its texts up where ours are.

    click looks them up in the unnamed domain of gettext, which knows neither ``TERSUM_LANG`` nor our catalogue; its
    modules each hold the two functions by the usual names.
    """
    for name in _MODULES:
        module = importlib.import_module(f"click.{name}")
        for word, function in (("_", _), ("ngettext", ngettext)):
            if hasattr(module, word):
                setattr(module, word, function)
