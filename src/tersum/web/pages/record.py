"""The visit record as a page: what was done and measured, its picture, and its numbers as files."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from tersum.documents import decide_text, steps_text, visit_text
from tersum.documents.charts import drawing
from tersum.documents.charts.on_screen import on_screen
from tersum.documents.charts.residue_ladder import ladder_rows, residue_ladder
from tersum.documents.issuing import find_issued
from tersum.records import export
from tersum.records.readings_export import readings_csv
from tersum.records.steps_export import steps_fields
from tersum.records.visits import decided
from tersum.visit.outcome import ended, work_list
from tersum.web.pages.issued import answered, cards_of
from tersum.web.places import AtVisit, at_visit, desk_of
from tersum.web.rendering import page, page_language

# The picture is drawn for two widths of the page: a phone's, and a desk's.
WIDTHS: Mapping[str, int] = {"narrow": 358, "wide": 760}
THEMES = ("light", "dark")


def shown(request: Request) -> Response:
    """Show the record of a visit, also while it is open."""
    here = at_visit(request)
    made, done = decided(here.reader.kept())
    over = here.reader.ended()
    ending = over.ending if over else ended(made.decisions, None)
    surfaces = {point.id: point.surface for point in here.plan.points}
    taken = here.reader.taken()
    lines = [*visit_text.statement_lines(made.statement), *visit_text.baseline_lines(made.decisions, surfaces)]
    return page(
        request, "record/record.html", here=here, plan=here.plan, decisions=made.decisions, over=over,
        lines=lines, ending_lines=visit_text.ending_lines(ending) if over else [],
        carried_out=visit_text.carried_out_lines(done),
        steps=steps_text.step_lines(here.plan, here.reader.kept().work, cards_of(here.plan)),
        chemist=visit_text.chemist_lines(made.statement),
        cannot_show=visit_text.cannot_show_lines(), rule=decide_text.rule_line(here.plan.terms),
        issued=_number_issued(request, here), left=work_list(made.decisions), taken=taken,
        head=here.reader.store.head(), widths=WIDTHS, themes=THEMES,
        people=_people(here, taken))


def _number_issued(request: Request, here: AtVisit) -> str | None:
    answers = answered(here)
    found = find_issued(here.reader.store, desk_of(request).folder, answers) if answers is not None else None
    return found.number if found is not None else None


def ladder_shown(request: Request) -> Response:
    """Show the residue ladder as a picture."""
    here = at_visit(request)
    width, theme = request.path_params["width"], request.path_params["theme"]
    if width not in WIDTHS or theme not in THEMES:
        raise HTTPException(404)
    rows = ladder_rows(here.walk.decisions, here.reader.kept().readings)
    ladder = residue_ladder(rows, width_px=WIDTHS[width], theme=theme, lang=page_language())
    return Response(on_screen(drawing.svg(ladder.definition)), media_type="image/svg+xml")


def decisions_shown(request: Request) -> Response:
    """Give the decisions as JSON, each as ``tersum decide --json`` prints it from the readings as CSV."""
    here = at_visit(request)
    made, done = decided(here.reader.kept())
    tail = {"statement": asdict(made.statement), "carried_out": done.answer, "invented": here.plan.invented,
            "steps": steps_fields(here.plan, here.reader.kept().work, cards_of(here.plan))}
    pieces = export.json_object({"schema": export.DECISIONS_SCHEMA, "rule": export.rule_fields(here.plan.terms)},
                                "points", (export.json_text(export.decision_fields(one)) for one in made.decisions),
                                lambda: tail)
    return Response("".join(pieces), media_type="application/json")


def readings_shown(request: Request) -> Response:
    """Give the readings that are on record as CSV, those taken back left out."""
    here = at_visit(request)
    return Response("".join(readings_csv(here.reader.kept().readings)), media_type="text/csv; charset=utf-8",
                    headers={"content-disposition": 'attachment; filename="readings.csv"'})


def _people(here: AtVisit, taken: object) -> Mapping[str, int]:
    """Return a number for each person who swabbed: the record names nobody."""
    met = dict.fromkeys(one.reading.person for one in here.reader.taken() if one.reading.person)
    return {person: number for number, person in enumerate(met, start=1)}
