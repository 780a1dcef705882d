"""The errors of Tersum: each is one sentence that says what is wrong, the value, and what is accepted."""

from __future__ import annotations

from typing import Any


def N_(message: str) -> str:
    """Mark a text for translation without translating it here; the faces translate it when they show it."""
    return message


class TersumError(Exception):
    """Something Tersum refuses, told in one sentence.

    Parameters
    ----------
    message : str
        The sentence as a gettext msgid with ``{named}`` places, marked with :func:`N_`.
    field : str
        What is wrong: an argument, column, option or key.
    value : object
        The value that was given, as it was given.
    accepted : str
        What is accepted, as a gettext msgid; may have ``{named}`` places of its own.
    places : object
        Further values for the places in the texts.
    """

    code = "refused"
    exit_code = 3

    def __init__(self, message: str, *, field: str = "", value: object = None, accepted: str = "", **places: object):
        self.message = message
        self.field = field
        self.value = value
        self.accepted = accepted
        self.places: dict[str, Any] = dict(places)
        super().__init__(message)

    def sentence(self, translate: Any = str) -> str:
        """Return the sentence in the language of ``translate`` (a gettext function; English if left out)."""
        places = {name: _Plain(value) if isinstance(value, float) else value for name, value in self.places.items()}
        accepted = translate(self.accepted).format(**places) if self.accepted else ""
        known = {**places, "field": self.field, "value": _shown(self.value) or translate(N_("nothing")),
                 "accepted": accepted}
        return str(translate(self.message).format(**known))

    def __str__(self) -> str:
        return self.sentence()


class OutOfRange(TersumError):
    """A value lies outside what is accepted."""

    code = "out-of-range"

    def __init__(self, field: str, value: object, accepted: str, **places: object):
        super().__init__(
            N_("{field} is out of range: got {value}; accepted: {accepted}."),
            field=field, value=value, accepted=accepted, **places,
        )


class UnknownName(TersumError):
    """A name that is not known; near names are offered."""

    code = "unknown-name"

    def __init__(self, field: str, value: object, known: list[str] | tuple[str, ...]):
        near = _near(str(value), known)
        if near:
            message = N_("{field} is not known: got {value}; did you mean {near}? Accepted: {accepted}.")
        else:
            message = N_("{field} is not known: got {value}; accepted: {accepted}.")
        super().__init__(message, field=field, value=value, accepted="{names}",
                         names=", ".join(known), near=", ".join(near))


class MissingSource(TersumError):
    """A catalogue value that does not say where it comes from."""

    code = "missing-source"

    def __init__(self, field: str, value: object, accepted: str, **places: object):
        super().__init__(
            N_("{field} does not say where it comes from: got {value}; accepted: {accepted}."),
            field=field, value=value, accepted=accepted, **places,
        )


class RecordLocked(TersumError):
    """A record that is sealed, or a store that may not be written."""

    code = "record-locked"
    exit_code = 6


class Faults(TersumError):
    """Several faults of one input, all of them at once.

    Parameters
    ----------
    faults : sequence of TersumError
        At least one, in the order in which they were met.
    """

    code = "faults"

    def __init__(self, faults: list[TersumError]):
        self.faults = tuple(faults)
        super().__init__("{text}", text="\n".join(str(fault) for fault in faults))

    def sentence(self, translate: Any = str) -> str:
        return "\n".join(fault.sentence(translate) for fault in self.faults)


class _Plain(float):
    """A number of a sentence: written out, since an exponent is what entry refuses."""

    def __format__(self, spec: str) -> str:
        text = float.__format__(self, spec)
        if spec[-1:] in ("e", "E") or "e" not in text or not 1e-9 <= abs(self) < 1e16:
            return text
        return f"{float(text):.15f}".rstrip("0").rstrip(".")


def _shown(value: object) -> str:
    if isinstance(value, float):
        return f"{value:.6g}"
    text = value if isinstance(value, str) else repr(value)
    # Control characters would let a file write on the reader's terminal.
    text = "".join(mark if mark.isprintable() else f"\\x{ord(mark):02x}" for mark in text)
    return text if len(text) <= 60 else text[:57] + "..."


def _near(value: str, known: list[str] | tuple[str, ...]) -> list[str]:
    # Imported here: difflib is only wanted on the way out, and costs a cold command several milliseconds.
    import difflib  # noqa: PLC0415

    return difflib.get_close_matches(value.casefold(), known, n=3, cutoff=0.6)
