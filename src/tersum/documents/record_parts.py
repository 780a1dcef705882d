"""The parts of a visit record, in the order in which a customer reads them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from tersum.documents import blocks, decide_text, sentences, steps_text, visit_text
from tersum.documents.blocks import Block, Cell
from tersum.documents.charts import drawing
from tersum.documents.charts.residue_ladder import in_pages, ladder_rows, residue_ladder
from tersum.documents.hazard_card import hazard_said
from tersum.documents.moments_text import clock, day, moment, span
from tersum.documents.numbers import apart, bounded_text, number_text
from tersum.documents.text import _, ngettext
from tersum.documents.verdict_marks import mark_svg
from tersum.documents.verify_text import grouped
from tersum.visit.carried_out import Work
from tersum.visit.contact import step_contact
from tersum.visit.decision import Decision
from tersum.visit.outcome import work_list
from tersum.visit.plan import Limit, SamplingPoint, limit_for
from tersum.visit.readings import Reading, fault
from tersum.visit.steps import Step

if TYPE_CHECKING:
    from tersum.documents.visit_record import VisitRecord

LADDER = "ladder"  # where the ladder goes; it is drawn after the check code is known, since it has no text of its own
_FIRST_PX, _REST_PX = 500.0, 840.0  # the height of a ladder on the first page and on a page of its own
_WIDTH_PX = 680


def about(record: VisitRecord) -> list[list[str]]:
    """Return what, when, by whom and by which rule, for the top of the page."""
    plan = record.plan
    times = _times(record)
    when = f"{day(min(times), plan.zone)}, {span(min(times), max(times), plan.zone)}" if times else _("not recorded")
    kind = {"vehicle": _("vehicle"), "room": _("room")}[plan.place_kind]
    people = ", ".join(dict.fromkeys([*record.people, *(one.person for one in record.readings if one.person)]))
    rows = [(_("Place"), f"{plan.place} ({kind})"), (_("Visit"), plan.visit),
            (_("Carried out"), when), (_("By, as numbers"), people or _("not recorded")),
            (_("Meter, swab"), f"{plan.instrument.type}, {plan.instrument.swab}"),
            (_("Rule"), _("{rule}, version {version}").format(rule=plan.terms.rule, version=plan.terms.version)),
            (_("Organisation"), plan.organisation), (_("Issued"), moment(record.issued_at, plan.zone))]
    return [[label, value] for label, value in rows]


def parts(record: VisitRecord, *, code: str) -> list[Block]:
    """Return every part below the top."""
    return [*_points(record), *_left(record), *_limits(record), *_carried_out(record), *_swabs(record),
            *_decided(record), *_cannot_show(record), *_proof(record, code)]


def with_ladder(record: VisitRecord, page: Sequence[Block], *, lang: str) -> list[Block]:
    """Return the parts with the ladder drawn in its place, on as many pages as it takes."""
    drawn: list[Block] = []
    for block in page:
        if block["kind"] != LADDER:
            drawn.append(block)
            continue
        every = ladder_rows(record.decisions, record.readings)
        for place, rows in enumerate(in_pages(every, width_px=_WIDTH_PX, first_px=_FIRST_PX, rest_px=_REST_PX)):
            ladder = residue_ladder(rows, width_px=_WIDTH_PX, theme="paper", lang=lang, with_key=place == 0,
                                    among=every)
            drawn.append(blocks.picture(drawing.svg(ladder.definition), str(ladder.definition["description"])))
    return drawn


def _points(record: VisitRecord) -> list[Block]:
    """Return the ladder and the table of points."""
    if not record.decisions:
        return []
    by_point = {point.id: point for point in record.plan.points}
    readings = _by_point(record.readings)
    rows = [_point_row(one, by_point.get(one.point), readings.get(one.point, []), record) for one in record.decisions]
    columns = [(_("point"), "2fr"), (_("as found"), "auto"), (_("swabs that count"), "1fr"), (_("mean"), "auto"),
               (_("release level"), "auto"), (_("limit"), "auto"), (_("down by"), "auto"), (_("verdict"), "1.6fr")]
    return [blocks.heading(_("From as found to now, against the limit")), {"kind": LADDER},
            blocks.heading(_("Points, RLU")), blocks.table(columns, rows, right=(1, 2, 3, 4, 5, 6))]


def _point_row(decision: Decision, point: SamplingPoint | None, readings: Sequence[Reading],
               record: VisitRecord) -> list[Cell]:
    found = [_shown(one) for one in readings if one.stage == "as_found" and fault(one) is None]
    counted = [_shown(one) for one in readings if one.stage == decision.stage and one.round == decision.round
               and fault(one) is None]
    limit, release = decision.limit_rlu, decision.release_level_rlu
    levels = tuple(one for one in (limit, release) if one is not None)
    mean = bounded_text(decision.geometric_mean_rlu, decision.mean_operator, others=levels) if decision.n else "–"
    swabs = "; ".join(counted) or "–"
    if decision.round > 1:
        swabs += " " + _("(round {round})").format(round=decision.round)
    name: Cell = decision.point
    if point is not None:
        drawn = ", " + _("drawn") if point.id in record.drawn else ""
        name = {"t": decision.point, "sub": f"{point.surface}, {number_text(point.area_cm2)} cm²{drawn}"}
    return [name, "; ".join(found) or "–", swabs, mean,
            "–" if release is None or limit is None else apart(release, (limit,)),
            "–" if limit is None else number_text(limit, digits=6), _down_by(decision),
            _verdict(decision)]


def _verdict(decision: Decision) -> Cell:
    return {"t": sentences.verdict_word(decision.verdict), "mark": mark_svg(decision.verdict), "strong": True}


def _down_by(decision: Decision) -> str:
    reduction = decision.reduction
    if reduction is None or reduction.percent is None:
        return "–"
    sign = {">=": "≥ ", "<=": "≤ "}.get(reduction.operator, "")
    return f"{sign}{number_text(reduction.percent)} %"


def _shown(reading: Reading) -> str:
    """Return what the meter showed, as it was typed, and the blank that is taken off."""
    shown = reading.raw.strip() or bounded_text(*_bound(reading))
    return shown if not reading.blank_rlu else f"{shown} − {number_text(reading.blank_rlu, digits=6)}"


def _bound(reading: Reading) -> tuple[float, str]:
    if math.isinf(reading.high_rlu):
        return reading.low_rlu, ">="
    return reading.high_rlu, "=" if reading.low_rlu == reading.high_rlu else "<="


def _left(record: VisitRecord) -> list[Block]:
    """Return what is left to do at each open point, and why."""
    left = work_list(record.decisions)
    if not left:
        return []
    rows = [[one.point, _verdict(one), f"{sentences.why(one)} {sentences.what_next(one)}"] for one in left]
    columns = [(_("point"), "1.3fr"), (_("verdict"), "1.4fr"), (_("why, and what to do"), "4fr")]
    return [blocks.heading(_("What is left")), blocks.table(columns, rows)]


def _limits(record: VisitRecord) -> list[Block]:
    """Return every limit in force and whose it is."""
    used = {limit_for(record.plan, point) for point in record.plan.points}
    lines = [_limit_line(limit) for limit in record.plan.limits
             if any(one and (one.rlu, one.basis) == (limit.rlu, limit.basis) for one in used)]
    none = sorted({point.surface for point in record.plan.points if limit_for(record.plan, point) is None})
    if none:
        lines.append(_("No limit yet for: {surfaces}. Their readings build the baseline; nothing is released by them."
                       ).format(surfaces=", ".join(none)))
    return [blocks.heading(_("Whose limits")), *blocks.items(lines)] if lines else []


def _limit_line(limit: Limit) -> str:
    known = {"read": _("read in its source"), "secondary": _("read in another source"), "memory": _("from memory"),
             "computed": _("computed"), "practice": _("by practice")}[limit.known]
    return _("{rlu} RLU on {surface} surfaces, {area} cm², {instrument} with {swab}: {basis} (known: {known}).").format(
        rlu=number_text(limit.rlu, digits=6), surface=limit.surface, area=number_text(limit.area_cm2),
        instrument=limit.instrument, swab=limit.swab, basis=limit.basis, known=known)


def _carried_out(record: VisitRecord) -> list[Block]:
    """Return each step as planned and as carried out, and what was not as planned."""
    if not record.plan.steps and not record.work:
        return []
    rows = [row for step in record.plan.steps for row in _step_rows(record, step)]
    planned = {step.id for step in record.plan.steps}
    rows += [[work.step, _("not in the plan"), _as_done(record, None, work), work.lot or "–", "–"]
             for work in record.work if work.step not in planned]
    columns = [(_("step"), "1.5fr"), (_("planned"), "1.3fr"), (_("carried out"), "2fr"), (_("lot"), "1fr"),
               (_("seen wet"), "auto")]
    answer = visit_text.carried_out_lines(record.carried_out)
    return [blocks.heading(_("Steps, and disinfection as planned or not")),
            *blocks.items(line.removeprefix("  - ") for line in answer[1:]), blocks.table(columns, rows),
            *blocks.items(steps_text.step_lines(record.plan, record.work, record.cards))]


def _step_rows(record: VisitRecord, step: Step) -> list[list[Cell]]:
    planned = "\n".join(part for part in (
        " ".join(part for part in (step.product, step.ratio) if part),
        _("wet for {minutes} min").format(minutes=number_text(step.contact_min)) if step.contact_min else "") if part)
    name = {"t": step.id, "sub": step.what}
    times = [work for work in record.work if work.step == step.id]
    if not times:
        return [[name, planned or "–", _("not carried out, or not recorded"), "–", "–"]]
    return [[name, planned or "–", _as_done(record, step, work), work.lot or "–", _wet(record, step, work)]
            for work in times]


def _as_done(record: VisitRecord, step: Step | None, work: Work) -> str:
    zone = record.plan.zone
    lines = [span(work.started, work.finished, zone)]
    if work.mixed_at:
        lines.append(_("mixed {time}").format(time=clock(work.mixed_at, zone)))
    if work.concentrate_ml is not None and work.water_ml is not None:
        made = 100.0 * work.concentrate_ml / (work.concentrate_ml + work.water_ml)
        line = _("{concentrate} mL + {water} mL water = {made} %").format(
            concentrate=number_text(work.concentrate_ml, digits=5), water=number_text(work.water_ml, digits=5),
            made=number_text(made))
        needs = record.needs.get(step.id) if step else None
        if needs is not None:
            line += " " + _("(allowed {least} to {most} %)").format(least=number_text(100.0 * needs.least_frac),
                                                               most=number_text(100.0 * needs.most_frac))
        lines.append(line)
    if work.cloth:
        lines.append(_("cloth: {cloth}").format(cloth=work.cloth))
    if work.surface_c is not None:
        lines.append(_("surface at {temp} °C").format(temp=number_text(work.surface_c)))
    return "\n".join(lines)


def _wet(record: VisitRecord, step: Step, work: Work) -> str:
    if not step.contact_min:
        return "–"
    return steps_text.contact_words(step_contact(step.id, step.contact_min, work.wet, work.started, work.finished,
                                                 watched=record.plan.wet_rule == 1))


def _swabs(record: VisitRecord) -> list[Block]:
    """Return every look: each swab, counted or not and why."""
    if not record.readings:
        return [blocks.heading(_("Every swab")), blocks.text(_("No swab was read."))]
    counted = sum(fault(one) is None for one in record.readings)
    said = ngettext("{n} swab was read; {counted} counts.", "{n} swabs were read; {counted} count.",
                    len(record.readings)).format(n=len(record.readings), counted=counted)
    rows = [_swab_row(record, one) for one in record.readings]
    columns = [(_("point"), "2fr"), (_("stage"), "auto"), (_("round, swab"), "auto"), (_("shown"), "auto"),
               (_("blank"), "auto"), (_("time"), "auto"), (_("lot"), "1fr"), (_("by"), "auto"),
               (_("counts, or why not"), "2fr")]
    notes = [f"{one.point}: {one.note}" for one in record.readings if one.note]
    return [blocks.heading(_("Every swab")), blocks.text(said), blocks.table(columns, rows, right=(3, 4)),
            *([blocks.heading(_("Notes")), *blocks.items(notes)] if notes else [])]


def _swab_row(record: VisitRecord, one: Reading) -> list[Cell]:
    code = fault(one)
    why: Cell = _("yes")
    if code is not None:
        why = _("not counted: {fault}").format(fault=sentences.fault_phrase(code))
        if one.void_approved_by:
            why += _("; approved by {person}").format(person=one.void_approved_by)
        why = {"t": why, "strong": True}
    return [one.point, sentences.stage_word(one.stage), f"{one.round}, {one.swab}",
            one.raw.strip() or bounded_text(*_bound(one)),
            "–" if one.blank_rlu is None else number_text(one.blank_rlu, digits=6), _time(record, one),
            one.swab_lot or "–", one.person or "–", why]


def _time(record: VisitRecord, reading: Reading) -> str:
    """Return the time of a swab, with its day where that is not the day on top of the page."""
    if not reading.at:
        return "–"
    at, zone = datetime.fromisoformat(reading.at), record.plan.zone
    return clock(at, zone) if day(at, zone) == day(min(_times(record)), zone) else f"{day(at, zone)} {clock(at, zone)}"


def _times(record: VisitRecord) -> list[datetime]:
    """Return the times of the work, or those of the swabs where no work is recorded."""
    worked = [at for work in record.work for at in (work.started, work.finished)]
    return worked or [datetime.fromisoformat(one.at) for one in record.readings if one.at]


def _decided(record: VisitRecord) -> list[Block]:
    """Return how the verdicts come about, for whoever wants to follow them."""
    terms = record.plan.terms
    lines = [decide_text.rule_line(terms), decide_text.spread_line(terms)]
    if record.plan.drawn_points:
        chosen = ", ".join(record.drawn) or _("not drawn yet")
        lines.append(_("Points drawn after the cleaning from {listed} listed: {chosen}. The draw was sealed before it "
                       "as {commitment}.").format(listed=sum(not one.fixed for one in record.plan.points),
                                                  chosen=chosen, commitment=record.draw_commitment or "–"))
    lines += [f"{one.point}: {sentences.remark_sentence(remark)}" for one in record.decisions for remark in one.remarks]
    return [blocks.heading(_("How it was decided")), *blocks.items(lines)]


def _cannot_show(record: VisitRecord) -> list[Block]:
    cautions = list(dict.fromkeys(line for card in record.cards for line in (
        *card.product.cautions,
        f"{card.product.name}: {hazard_said(card.product, card.solution.mixture.ratio).codes}")))
    return [blocks.heading(_("What the readings cannot show, and cautions")),
            *blocks.items([*visit_text.cannot_show_lines(), *cautions])]


def _proof(record: VisitRecord, code: str) -> list[Block]:
    """Return what makes the record one that can be checked, and how."""
    rows = [(_("Record number"), record.number), (_("Check code"), code),
            (_("Signed with key"), grouped(record.key_id)), (_("Program"), f"Tersum {record.program}"),
            (_("Ledger head"), f"{record.head.sequence}: {grouped(record.head.hash)}")]
    return [blocks.heading(_("How to check this record")), blocks.facts(rows[:4]),
            blocks.text(f"{rows[4][0]} {rows[4][1]}"),
            blocks.text(_("Run tersum verify on the file, with the number of the key as the company tells it, not as "
                          "it stands here. It says whether every byte is as issued. It cannot show that what was "
                          "written down is true, nor, by itself, when it was signed: the time is the signer's."))]


def _by_point(readings: Sequence[Reading]) -> dict[str, list[Reading]]:
    found: dict[str, list[Reading]] = {}
    for one in readings:
        found.setdefault(one.point, []).append(one)
    return found
