"""``tersum visit``: plan a visit and seal it, show its draw after the cleaning, and carry it to its decision."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from tersum.catalogue import load
from tersum.catalogue.product import Product
from tersum.cli.mix import product_named
from tersum.cli.mix_text import hazard_body
from tersum.cli.output import emit_json, remark, table
from tersum.documents import mixing_text, visit_text
from tersum.documents.hazard_card import hazard_lines
from tersum.documents.text import _
from tersum.errors import N_, Faults, OutOfRange, TersumError
from tersum.records.toml_file import placed, read_toml
from tersum.records.trouble import Conflict
from tersum.visit.allowed import must_stay_apart, not_allowed
from tersum.visit.carried_out import Work, work_from
from tersum.visit.mixing import MixingCard, mixing_cards, solution_needs
from tersum.visit.outcome import Ending, ending_from
from tersum.visit.plan import Effort, Plan, effort, plan_from

if TYPE_CHECKING:
    from tersum.records.facts import Head
    from tersum.records.store import Store
    from tersum.records.visits import SealedPlan

SEED_BYTES = 32
_VISIT = click.argument("visit", metavar="VISIT.toml")
_OUT = click.option("--out", type=click.Path(file_okay=False), required=True, metavar="DIR",
                    help=_("Where the files are written."))
_JSON = click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))


class PlanRefused(Faults):
    """The plan may not be carried out; nothing overrides that."""

    code = "plan-refused"
    exit_code = 5


@dataclass(frozen=True)
class VisitFile:
    """A visit file with all its parts."""

    plan: Plan
    cost: Effort
    cards: tuple[MixingCard, ...]
    seed: bytes | None
    work: tuple[Work, ...]
    ending: Ending | None


@click.group(help=_("Plan a visit, seal the plan, and carry it to its decision."))
def visit() -> None:
    pass


@visit.command("plan", help=_("Seal the plan before any cleaning; print what to mix and what the visit costs."),
               epilog=_("Example: tersum visit plan examples/minibus-1/visit.toml --out out/minibus-1"))
@_VISIT
@_OUT
@_JSON
def plan_command(visit: str, out: str, as_json: bool) -> None:
    file = read_visit(visit)
    with store_of(file.plan) as store:
        sealed = seal(store, file)
        body = plan_body(file, sealed, store.head())
    written = write_plan(Path(out), file, body)
    if as_json:
        emit_json("tersum/plan/1", body)
        return
    _show_plan(file, sealed)
    remark(_("Written: {files}").format(files=", ".join(str(Path(out) / name) for name in written)))


@visit.command("reveal", help=_("Show the drawn points once the cleaning is over; that they are shown is recorded."),
               epilog=_("Example: tersum visit reveal examples/minibus-1/visit.toml"))
@_VISIT
@_JSON
def reveal_command(visit: str, as_json: bool) -> None:
    from tersum.records.visits import kept, record_work, reveal
    from tersum.visit.next_swab import may_show_draw
    from tersum.visit.plan import planned_points

    file = read_visit(visit)
    with store_of(file.plan) as store:
        sealed = seal(store, file)
        record_work(store, sealed, file.work)
        known = kept(store, sealed)
        if known.seed is None and not may_show_draw(sealed.plan, known.readings, known.work):
            raise Conflict(N_("The draw of visit {value} is shown after the cleaning, and nothing of it is on record; "
                              "accepted: the steps carried out so far, as [[carried_out]] in the visit file."),
                           field="visit", value=sealed.plan.visit)
        seed = reveal(store, sealed)
    points = planned_points(sealed.plan, seed)
    if as_json:
        emit_json("tersum/draw/1", {"visit": file.plan.visit, "seed": seed.hex() if seed else None,
                                    "points": [{"id": one.id, "fixed": one.fixed} for one in points]})
        return
    table([_("point"), _("surface"), _("chosen")],
          [[one.id, one.surface, _("fixed") if one.fixed else _("drawn")] for one in points])


@visit.command("run", help=_("Seal the plan, then open the readings and decide every planned point."),
               epilog=_("Example: tersum visit run examples/minibus-1/visit.toml --readings "
                        "examples/minibus-1/readings.csv --out out/minibus-1. Exit codes: 0 every planned point is "
                        "done; 1 points are left, with what to do; 3 the readings have faults."))
@_VISIT
@click.option("--readings", required=True, metavar="READINGS.csv",
              help=_("The readings of the visit; later swabs are added to the same file."))
@_OUT
@_JSON
@click.pass_context
def run_command(ctx: click.Context, visit: str, readings: str, out: str, as_json: bool) -> None:
    from tersum.cli.visit_run import run_visit

    ctx.exit(run_visit(read_visit(visit), readings, Path(out), as_json=as_json))


def read_visit(path: str) -> VisitFile:
    """Read a visit file with all its faults at once."""
    values = read_toml(path)
    faults: list[TersumError] = []
    parts: dict[str, Any] = {}
    readers: dict[str, Callable[[], Any]] = {
        "plan": lambda: _kept_apart(plan_from(values, book_spread_log10=load.book_repeatability().number), path),
        "work": lambda: _with_heat(work_from(values), path), "ending": lambda: ending_from(values),
        "seed": lambda: _seed(values),
        "cards": lambda: mixing_cards(parts["plan"], lambda name: _product(name, path))}
    for name, read in readers.items():
        try:
            parts[name] = read() if name != "cards" or "plan" in parts else ()
        except Faults as several:
            faults += several.faults
        except TersumError as one:
            faults.append(one)
    refused = not_allowed(parts["plan"], lambda name: _product(name, path)) if "plan" in parts else ()
    if faults:
        raise placed(path, [*faults, *refused])
    if refused:
        raise PlanRefused(list(placed(path, refused).faults))
    return VisitFile(cost=effort(parts["plan"]), **parts)


def _kept_apart(plan: Plan, path: str) -> Plan:
    return replace(plan, kept_apart=must_stay_apart(plan, lambda name: _product(name, path)))


def seal(store: Store, file: VisitFile) -> SealedPlan:
    """Put the plan on record before anything else happens; the same plan sent again is the one on record."""
    from tersum.records.visits import find_plan, seal_plan

    seed = file.seed
    if seed is None and file.plan.drawn_points and find_plan(store, file.plan) is None:
        seed = secrets.token_bytes(SEED_BYTES)
    return seal_plan(store, file.plan, seed=seed, needs=solution_needs(file.cards), catalogue=used(file))


def store_of(plan: Plan) -> Store:
    """Open the store of the visit's organisation, made if it is new."""
    from tersum.records.home import data_home, slug_from
    from tersum.records.store import open_store

    return open_store(data_home(), slug_from(plan.organisation), create=True, zone=plan.zone)


def used(file: VisitFile) -> list[Mapping[str, object]]:
    """Return every catalogue value that the plan used, as a fact copies it in."""
    values: list[Mapping[str, object]] = []
    if file.plan.terms.spread_basis == "book":
        book = load.book_repeatability()
        values.append({"name": book.name, "value": str(book.value), "unit": book.unit, "source": book.source,
                       "where": book.where, "known": book.known})
    for product in dict.fromkeys(card.product for card in file.cards):
        for one in product.ingredients:
            values.append({"name": f"{product.name}: {one.name}", "value": str(one.strength), "unit": one.unit,
                           "source": product.source, "where": product.where, "known": product.known,
                           "details": {"density_kg_l": product.density_kg_l, "use_by_h": product.use_by_h,
                                       "min_mg_l": one.min_mg_l, "max_mg_l": one.max_mg_l}})
    return values


def plan_body(file: VisitFile, sealed: SealedPlan, head: Head | None) -> dict[str, Any]:
    """Return a sealed plan as JSON carries it; the drawn points and the seed are not in it."""
    data = sealed.fact.data
    shown = {name: data[name] for name in ("visit", "place", "points", "stages", "terms", "limits", "instrument",
                                           "steps", "blanks", "catalogue", "invented")}
    draw = data["draw"] and {name: data["draw"][name] for name in ("commitment", "points", "method", "candidates")}
    return {"organisation": file.plan.organisation, **shown, "draw": draw, "effort": asdict(file.cost),
            "mixing": [_card_body(card) for card in file.cards], "sealed": sealed.fact.when.utc,
            "fact": sealed.fact.fact_id, "head": head_text(head)}


def head_text(head: Head | None) -> dict[str, object] | None:
    """Return a head as outputs carry it, so that the record can be held against it later."""
    return {"sequence": head.sequence, "hash": head.hash, "utc": head.utc} if head else None


def write_plan(folder: Path, file: VisitFile, body: Mapping[str, Any]) -> list[str]:
    """Write the plan and the mixing card, both whole or neither."""
    from tersum.documents.mixing_page import markdown
    from tersum.records.export import json_text, whole_files

    names = ["plan.json", *(["mixing-card.md"] if file.cards else [])]
    with whole_files(folder, names) as files:
        files[0].write(json_text({"schema": "tersum/plan/1", **body}) + "\n")
        for page in files[1:]:
            page.writelines(markdown(file.plan, file.cards))
    return names


def _show_plan(file: VisitFile, sealed: SealedPlan) -> None:
    if file.plan.invented:
        print(_("Invented demo data."))
    for line in visit_text.plan_lines(file.plan, file.cost):
        print(line)
    for card in file.cards:
        print()
        table([mixing_text.heading(card), ""], [*mixing_text.amounts(card), *mixing_text.strengths(card)])
        for line in mixing_text.instructions(card):
            print(f"  {line}")
        for line in hazard_lines(mixing_text.hazards(card)):
            print(f"  {line}")
    print()
    draw = sealed.fact.data["draw"]
    if draw:
        print(_("Draw: sealed by {commitment}; shown after the cleaning by: tersum visit reveal").format(
            commitment=draw["commitment"]))
    said = _("Plan sealed {when} as fact {number}.") if sealed.newly else _("Plan was sealed {when} as fact {number}.")
    print(said.format(when=sealed.fact.when.utc, number=sealed.fact.sequence))


def _card_body(card: MixingCard) -> dict[str, Any]:
    made = card.solution.mixture
    ratio = made.ratio
    return {"step": card.step.id, "product": card.product.name, "volume_ml": made.volume_ml,
            "concentrate_ml": made.concentrate_ml, "water_ml": made.water_ml,
            "ratio": {"parts_water": ratio.parts_water, "percent": ratio.percent, "one_in": ratio.one_in},
            "strengths": [asdict(one) for one in made.strengths], "use_by_h": card.product.use_by_h,
            "contact_min": card.step.contact_min, "hazard": hazard_body(card.product, ratio),
            "findings": [asdict(one) for one in card.solution.findings]}


def _product(name: str, visit_path: str) -> Product:
    """Return a product of the catalogue, or the one of a file beside the visit file."""
    return product_named(str(Path(visit_path).parent / name) if name.casefold().endswith(".toml") else name)


def _with_heat(work: tuple[Work, ...], path: str) -> tuple[Work, ...]:
    """Return the work with what its logged traces amount to; they are named from beside the visit file."""
    if not any(one.trace for one in work):
        return work
    from tersum.records.heat_on_record import heat_on_record

    folder = Path(path).parent
    return tuple(replace(one, heat=heat_on_record(folder, one.trace)) if one.trace else one for one in work)


def _seed(values: Mapping[str, object]) -> bytes | None:
    draw = values.get("draw")
    text = draw.get("seed_hex") if isinstance(draw, Mapping) else None
    if text is None:
        return None
    if values.get("invented") is not True:
        # The text itself is not repeated: whoever reads the refusal would know the draw.
        raise Faults([OutOfRange("draw: seed_hex", "a seed", N_(
            "none: one is made and kept sealed until the cleaning is over. A seed in the file, which anyone can read "
            "before, only where invented = true"))])
    if isinstance(text, str) and len(text) == 2 * SEED_BYTES:
        try:
            return bytes.fromhex(text)
        except ValueError:
            pass  # told below, with what is accepted
    raise Faults([OutOfRange("draw: seed_hex", text, N_("64 hexadecimal digits"))])
