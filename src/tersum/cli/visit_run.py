"""``tersum visit run``: from the sealed plan to the decision, with every step on record and every file whole."""

from __future__ import annotations

import hashlib
from dataclasses import asdict, dataclass
from datetime import timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from tersum.cli.output import emit_json, remark, table
from tersum.cli.visit import VisitFile, head_text, plan_body, seal, store_of, write_plan
from tersum.documents import sentences, steps_text, visit_text
from tersum.documents.issuing import Answered, Issued, issue
from tersum.documents.numbers import bounded_text
from tersum.documents.text import _, language, ngettext
from tersum.errors import N_, Faults, OutOfRange, TersumError
from tersum.records import export, visits
from tersum.records.columns import Expected
from tersum.records.facts import Head
from tersum.records.home import data_home
from tersum.records.intake import FaultList, open_input
from tersum.records.readings_file import read_readings
from tersum.records.readings_table import ReadingsTable
from tersum.records.steps_export import steps_fields
from tersum.records.store import Store
from tersum.records.when import now
from tersum.records.whole_file import write_whole
from tersum.visit.carried_out import CarriedOut
from tersum.visit.decision import DONE, NO_LIMIT_YET, Decision
from tersum.visit.next_swab import may_show_draw
from tersum.visit.outcome import Ending, ended, work_list
from tersum.visit.plan import Plan
from tersum.visit.readings import Reading
from tersum.visit.verdicts import Verdicts, duplicates_missing

FILES = ("decisions.json", "decisions.csv", "decisions.md")
RECORD = "visit-record.pdf"
_CLOCKS_DIFFER = timedelta(minutes=5)


@dataclass(frozen=True)
class Intake:
    """What a file of readings held."""

    readings: tuple[Reading, ...]
    not_recorded: tuple[str, ...]
    faults: FaultList
    sha256: str


@dataclass(frozen=True)
class Run:
    """What a run came to."""

    file: VisitFile
    intake: Intake
    made: Verdicts
    done: CarriedOut
    ending: Ending
    head: Head | None
    record: Issued | None = None
    trouble: TersumError | None = None  # why no record was issued


def run_visit(file: VisitFile, readings: str, out: Path, *, as_json: bool) -> int:
    """Carry a visit to its decision; return the exit code: 0 every planned point is done, 1 not, 3 bad readings.

    A record that cannot be issued (no key, a letter no font has) takes nothing from the decision: that stands first.
    """
    open_input(readings).close()  # a missing file is told before anything is put on record
    _no_work_to_come(file)
    with store_of(file.plan) as store:
        sealed = seal(store, file)
        write_plan(out, file, plan_body(file, sealed, store.head()))
        intake = _intake(file, readings)
        if len(intake.faults):
            _refuse(file, intake, store.head(), as_json=as_json)
            return 3
        run = _on_record(file, intake, sealed, store)
    _write(out, run)
    if as_json:
        emit_json("tersum/visit/1", run_body(run))
    else:
        _show(run, out)
    if run.trouble is not None:
        return run.trouble.exit_code
    return 0 if all(one.verdict == DONE for one in run.made.decisions) else 1


def run_body(run: Run) -> dict[str, Any]:
    """Return what a run came to, as JSON carries it."""
    return {
        "visit": run.file.plan.visit, "organisation": run.file.plan.organisation, "invented": run.file.plan.invented,
        "rule": export.rule_fields(run.file.plan.terms),
        "points": [export.decision_fields(one) for one in run.made.decisions], "statement": asdict(run.made.statement),
        "carried_out": {"answer": run.done.answer, "shortfalls": [
            {"step": one.step, "code": one.reason.code, "parameters": dict(one.reason.parameters)}
            for one in run.done.shortfalls]},
        "steps": steps_fields(run.file.plan, run.file.work, run.file.cards),
        "ending": asdict(run.ending), "not_recorded": list(run.intake.not_recorded), "head": head_text(run.head),
        "record": run.record.number if run.record else None,
        "record_refused": run.trouble.sentence(_) if run.trouble else None, "not_drawn": _not_drawn(run),
        "faults": []}


def _refuse(file: VisitFile, intake: Intake, head: Head | None, *, as_json: bool) -> None:
    """Show the faults of the readings, and no verdict: one seen off the record could be put right until it pleases."""
    if as_json:
        emit_json("tersum/visit/1", {
            "visit": file.plan.visit, "organisation": file.plan.organisation, "invented": file.plan.invented,
            "rule": export.rule_fields(file.plan.terms), "points": [], "statement": None, "carried_out": None,
            "ending": None, "not_recorded": list(intake.not_recorded), "head": head_text(head), "record": None,
            "record_refused": None, "not_drawn": [],
            "faults": [{"code": one.code, "row": one.row, "column": one.column, "sentence": one.sentence(_)}
                       for one in intake.faults]})
        return
    for fault in intake.faults:
        remark(fault.sentence(_))
    remark(ngettext("{n} fault: nothing of these readings is on record and nothing is decided. Mend the file and run "
                    "again.", "{n} faults: nothing of these readings is on record and nothing is decided. Mend the "
                    "file and run again.", len(intake.faults)).format(n=len(intake.faults)))


def _intake(file: VisitFile, path: str) -> Intake:
    plan, faults = file.plan, FaultList()
    expected = Expected(now(), ZoneInfo(plan.zone), points={point.id for point in plan.points},
                        instruments={plan.instrument.type}, over_range_rlu=plan.instrument.over_range_rlu)
    with open_input(path) as stream:
        digest = hashlib.sha256()
        while piece := stream.read(1 << 20):
            digest.update(piece)
        stream.seek(0)
        with read_readings(stream, file=path, expected=expected, faults=faults) as rows:
            readings = tuple(reading for point in rows.points() for reading in point.readings)
            ordered = tuple(sorted(readings, key=lambda one: one.row))
            _hold_surfaces(plan, ordered, rows)
            return Intake(ordered, rows.not_recorded, faults, digest.hexdigest())


def _ended(decisions: tuple[Decision, ...], ending: Ending | None) -> Ending:
    """Return how the visit ended; an ending that does not fit is refused, and that the rest is on record is said."""
    try:
        return ended(decisions, ending)
    except Faults:
        remark(_("The readings are on record; only the ending is refused. Mend it in the visit file and run again."))
        raise


def _hold_surfaces(plan: Plan, readings: tuple[Reading, ...], rows: ReadingsTable) -> None:
    """Note every reading of another surface than the one its point was planned with: the limit belongs to that one."""
    surfaces = {point.id: point.surface for point in plan.points}
    for one in readings:
        if one.surface is not None and one.surface != surfaces[one.point]:
            rows.fault(one.row, "surface", OutOfRange(
                "surface", one.surface, N_("{planned}, which the plan has for {point}, or no entry"),
                planned=surfaces[one.point], point=one.point))


def _on_record(file: VisitFile, intake: Intake, sealed: visits.SealedPlan, store: Store) -> Run:
    """Put work, readings, decision and ending on record, and answer from what is on record alone."""
    visits.record_work(store, sealed, file.work)
    if may_show_draw(file.plan, intake.readings, file.work):
        visits.reveal(store, sealed)
    visits.take_readings(store, sealed, intake.readings, file_sha256=intake.sha256)
    visit = visits.kept(store, sealed)
    made, done = visits.decided(visit)
    ending = _ended(made.decisions, file.ending)
    decision = visits.seal_decision(store, visit, (made, done))
    over = visits.seal_ending(store, visit, decision, ending)
    record = trouble = None
    try:
        record = issue(store, data_home(), Answered(visit, made, done, ending, decision, over, file.cards),
                       lang=language())
    except TersumError as refused:
        trouble = refused
    return Run(file, intake, made, done, ending, store.head(), record, trouble)


def _no_work_to_come(file: VisitFile) -> None:
    """Raise all faults of work that is said to have been carried out later than now."""
    latest = now() + _CLOCKS_DIFFER
    faults: list[TersumError] = [
        OutOfRange(f"carried_out: {one.step}", one.finished.isoformat(), N_("a time that is not in the future"))
        for one in file.work if max(one.started, one.finished) > latest]
    if faults:
        raise Faults(faults)


def _write(folder: Path, run: Run) -> None:
    headings, rows = _rows(run.made.decisions)
    with export.whole_files(folder, FILES) as (as_json, as_csv, as_markdown):
        as_json.write(export.json_text({"schema": export.DECISIONS_SCHEMA, **run_body(run)}) + "\n")
        as_csv.writelines(export.csv_lines(export.CSV_HEADINGS, map(export.csv_row, run.made.decisions)))
        as_markdown.writelines(export.markdown_lines(
            _("{place}: decisions").format(place=run.file.plan.place), _summary(run), headings, rows))
    if run.record:
        write_whole(folder / RECORD, run.record.pdf)


def _show(run: Run, out: Path) -> None:
    print("\n".join(_summary(run)))
    print()
    headings, rows = _rows(run.made.decisions)
    table(headings, rows)
    _show_work(run)
    print()
    print("\n".join([*visit_text.chemist_lines(run.made.statement), *visit_text.cannot_show_lines()]))
    if run.intake.not_recorded:
        remark(_("Not recorded in the readings: {columns}.").format(columns=", ".join(run.intake.not_recorded)))
    written = (*FILES, RECORD) if run.record else FILES
    remark(_("Written: {files}").format(files=", ".join(str(out / name) for name in written)))
    for point in _not_drawn(run):
        remark(_("{point}: read, but neither fixed nor drawn; its reading is kept and decides nothing.").format(
            point=point))
    for line in visit_text.duplicate_lines(duplicates_missing(run.file.plan, run.made.decisions)):
        remark(line)
    if run.trouble:
        remark(_("No visit record was issued: {reason}").format(reason=run.trouble.sentence(_)))
    if run.head:
        remark(_("Record: fact {number}, {hash}. Keep this to check the record against later.").format(
            number=run.head.sequence, hash=run.head.hash))


def _not_drawn(run: Run) -> list[str]:
    """Return the points that were read although they are not among the planned ones."""
    decided = {one.point for one in run.made.decisions}
    return list(dict.fromkeys(one.point for one in run.intake.readings if one.point not in decided))


def _summary(run: Run) -> list[str]:
    """Return the answers of a visit, for anyone: the points, the disinfection, the ending."""
    plan = run.file.plan
    surfaces = {point.id: point.surface for point in plan.points}
    invented = [_("Invented demo data.")] if plan.invented else []
    return [*invented, *visit_text.ending_lines(run.ending), *visit_text.statement_lines(run.made.statement),
            *visit_text.carried_out_lines(run.done),
            *steps_text.step_lines(plan, run.file.work, run.file.cards),
            *visit_text.baseline_lines(run.made.decisions, surfaces)]


def _rows(decisions: tuple[Decision, ...]) -> tuple[list[str], list[list[str]]]:
    """Return the points in walking order with their numbers."""
    headings = [_("point"), _("verdict"), _("reading, RLU"), _("release level, RLU"), _("limit, RLU"), _("swabs")]
    return headings, [[
        one.point, sentences.verdict_word(one.verdict), _number(one.geometric_mean_rlu, one.mean_operator),
        _number(one.release_level_rlu), _number(one.limit_rlu), str(one.n)] for one in decisions]


def _number(value: float | None, operator: str = "=") -> str:
    return "" if value is None else bounded_text(value, operator)


def _show_work(run: Run) -> None:
    """Print what is left to do, worst first, and what is worth knowing beside it."""
    left = [one for one in work_list(run.made.decisions) if one.verdict != NO_LIMIT_YET]
    if left:
        print()
        print(_("To do:"))
    for one in left:
        print(f"  {one.point}: {sentences.why(one)} {sentences.what_next(one)}")
    for one in run.made.decisions:
        for beside in one.remarks:
            remark(f"{one.point}: {sentences.remark_sentence(beside)}")
