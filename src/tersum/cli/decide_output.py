"""What ``tersum decide`` shows and writes: the table for people, one JSON object, and files."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tersum.catalogue.load import book_repeatability
from tersum.cli.output import blocks, remark, table, terminal_columns
from tersum.documents import decide_text, sentences
from tersum.documents.text import _, ngettext
from tersum.documents.visit_text import cannot_show_lines
from tersum.records import export
from tersum.records.decided import ROWS_LEFT_OUT, DecidedTable
from tersum.records.instrument_file import ENOUGH_DUPLICATES, InstrumentFile
from tersum.records.intake import FaultList, RowFault
from tersum.records.limits_file import Limits
from tersum.records.readings_table import ReadingsTable
from tersum.visit.decision import DONE, Decision, Terms

_WIDE = 120  # columns that leave room for sentences beside the numbers
FILES = ("decisions.json", "decisions.csv", "decisions.md")


@dataclass(frozen=True)
class Shown:
    """Everything that came of one run."""

    table: ReadingsTable
    decided: DecidedTable
    terms: Terms
    limits: Limits | None
    instrument: InstrumentFile | None
    single_limit: bool

    @property
    def faults(self) -> FaultList:
        return self.table.faults


def show(shown: Shown) -> None:
    """Print the decisions worst first, and beside them what was not recorded and what is wrong with the input."""
    if len(shown.decided):
        _show_decisions(shown)
        for line in _remarks(shown):
            remark(line)
    for fault in shown.faults:
        remark(fault.sentence(_))
    if shown.faults.not_kept:
        remark(ngettext("{count} more fault is not shown; mend these first.",
                        "{count} more faults are not shown; mend these first.",
                        shown.faults.not_kept).format(count=shown.faults.not_kept))


def show_json(shown: Shown) -> None:
    """Print the decisions as one JSON object, point by point."""
    for piece in _json(shown):
        sys.stdout.write(piece)


def write_files(folder: Path, shown: Shown) -> None:
    """Write the decisions as JSON, CSV and Markdown; each file is whole or not there."""
    with export.whole_files(folder, FILES) as (as_json, as_csv, as_page):
        as_json.writelines(_json(shown))
        as_csv.writelines(export.csv_lines(export.CSV_HEADINGS, map(export.csv_row, shown.decided.decisions())))
        as_page.writelines(export.markdown_lines(
            _("Decisions"), [*_above(shown), *_below(shown)], _headings(), map(_row, shown.decided.decisions())))


def _show_decisions(shown: Shown) -> None:
    for line in _above(shown):
        print(line)
    print()
    worst = shown.decided.worst()
    if 0 < terminal_columns() < _WIDE:
        # No room for sentences in a last column: the numbers first, then the sentences of each point.
        table(_headings()[:-1], (_row(one)[:-1] for one in worst), right=(2, 3, 4, 5))
        print()
        blocks([f"{one.point}: {_row(one)[-1]}"] for one in worst)
    else:
        table(_headings(), map(_row, worst), right=(2, 3, 4, 5))
    if len(worst) < len(shown.decided):
        more = len(shown.decided) - len(worst)
        print(ngettext("... and {count} more point; --json and --out have all of them.",
                       "... and {count} more points; --json and --out have all of them.", more).format(count=more))
    print()
    for line in _below(shown):
        print(line)


def _above(shown: Shown) -> list[str]:
    decided = shown.decided
    return [*decide_text.statement_lines(len(decided), decided.swabbed, decided.verdicts[DONE]),
            decide_text.verdict_counts(decided.verdicts)]


def _below(shown: Shown) -> list[str]:
    return [decide_text.rule_line(shown.terms), decide_text.spread_line(shown.terms), *cannot_show_lines()]


def _headings() -> list[str]:
    return [_("point"), _("verdict"), _("RLU"), _("release level"), _("limit"), _("swabs"),
            _("why, and what to do next")]


def _row(decision: Decision) -> list[str]:
    told = [sentences.why(decision)]
    if decision.verdict != DONE:
        told.append(sentences.what_next(decision))
    if decision.reduction is not None:
        told.append(sentences.reduction_sentence(decision.reduction))
    # Beside the verdict itself: it rests on the rows that could be read.
    if decision.reason.code != ROWS_LEFT_OUT:
        told += [sentences.remark_sentence(one) for one in decision.remarks if one.code == ROWS_LEFT_OUT]
    return [decision.point, sentences.verdict_word(decision.verdict), *sentences.numbers(decision), str(decision.n),
            " ".join(told)]


def _remarks(shown: Shown) -> Iterator[str]:
    for decision in shown.decided.worst():
        for one in decision.remarks:
            if one.code != ROWS_LEFT_OUT:
                yield f"{decision.point}: {sentences.remark_sentence(one)}"
    yield from decide_text.no_limit_lines(limit_given=shown.single_limit or shown.limits is not None,
                                          surface_recorded=shown.limits is None
                                          or "surface" not in shown.table.not_recorded)
    if shown.instrument is not None and 0 < len(shown.instrument.duplicates) < ENOUGH_DUPLICATES:
        yield decide_text.few_duplicates_line(len(shown.instrument.duplicates), ENOUGH_DUPLICATES)
    if shown.instrument is not None and shown.instrument.repeatability is not None \
            and shown.instrument.repeatability.at_floor:
        yield sentences.at_floor_line()
    for file in (shown.limits, shown.instrument):
        if file is not None and file.invented:
            yield _("{file}: invented, for demonstration only.").format(file=file.file)
    yield from decide_text.not_recorded_lines(shown.table.not_recorded)


def _json(shown: Shown) -> Iterator[str]:
    return export.json_object({"schema": export.DECISIONS_SCHEMA, "rule": export.rule_fields(shown.terms)}, "points",
                              shown.decided.texts(), lambda: _tail(shown))


def _tail(shown: Shown) -> dict[str, Any]:
    book = [book_repeatability()] if shown.terms.spread_basis == "book" else []
    return {
        "faults": [_fault_fields(fault) for fault in shown.faults],
        "faults_not_shown": shown.faults.not_kept,
        "counts": {"rows": shown.table.rows, "points": len(shown.decided), "swabbed": shown.decided.swabbed,
                   **dict(sorted(shown.decided.verdicts.items()))},
        "not_recorded": list(shown.table.not_recorded),
        "catalogue": [{"name": one.name, "value": one.value, "unit": one.unit, "source": one.source,
                       "where": one.where, "known": one.known} for one in book],
        "invented": any(file is not None and file.invented for file in (shown.limits, shown.instrument)),
    }


def _fault_fields(fault: RowFault) -> dict[str, Any]:
    return {"file": fault.file, "row": fault.row, "column": fault.column, "code": fault.code,
            "value": str(fault.value)[:200], "sentence": fault.sentence(_)}
