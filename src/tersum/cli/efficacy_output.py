"""What ``tersum efficacy test`` prints: one block a run, and one object with every operator for programs."""

from __future__ import annotations

import textwrap
from typing import Any

from tersum.cli.output import remark, terminal_columns
from tersum.documents.efficacy_text import LABORATORY, answer_text, failing_text, flag_text, memory_line, result_lines
from tersum.documents.numbers import number_text
from tersum.documents.text import _
from tersum.lethality.efficacy import Efficacy
from tersum.lethality.efficacy_run import Run, activity_flags
from tersum.records.efficacy_file import EfficacyFile


def show(found: EfficacyFile) -> None:
    """Print the runs of a file."""
    for place, (run, result) in enumerate(zip(found.runs, found.results, strict=True), start=1):
        print(_("{place}. {test}: {organism}, {strength}, {minutes} min").format(
            place=place, test=run.test, organism=run.organism, strength=run.strength,
            minutes=number_text(run.contact_min)))
        for line in result_lines(result):
            print(_indented(line))
        print()
    for code in activity_flags(found.runs, found.results):
        print(flag_text(code))
    if found.invented:
        remark(_("The figures of this file are invented."))
    remark(_(LABORATORY))


def body(found: EfficacyFile) -> dict[str, Any]:
    """Return the runs of a file as the keys of one JSON object."""
    return {"file": found.file, "invented": found.invented,
            "runs": [_one(run, result) for run, result in zip(found.runs, found.results, strict=True)],
            "flags": [{"code": code, "sentence": flag_text(code)}
                      for code in activity_flags(found.runs, found.results)],
            "caution": _(LABORATORY)}


def _one(run: Run, found: Efficacy) -> dict[str, Any]:
    return {
        "test": run.test, "organism": run.organism, "strength": run.strength, "contact_min": run.contact_min,
        "answer": found.answer, "sentence": answer_text(found), "reduction": found.reduction.as_dict(),
        "required_log10": found.required_log10, "details": dict(found.details),
        "failing": [{"code": one.code, "value": one.value, "least": one.least, "most": one.most,
                     "sentence": failing_text(one)} for one in found.failing],
        "flags": [{"code": code, "sentence": flag_text(code, found)} for code in found.flags],
        "from_memory": list(found.from_memory), "memory_sentence": memory_line(found),
        "between_laboratories_log10": list(found.between_laboratories_log10),
    }


def _indented(line: str) -> str:
    """Return a line indented, and folded in a terminal; a program gets it whole."""
    columns = terminal_columns()
    return textwrap.fill(line, columns, initial_indent="   ", subsequent_indent="     ") if columns else f"   {line}"
