"""``tersum compare``: which of several treatments leaves less, from panels that were divided between them."""

from __future__ import annotations

import math
from dataclasses import asdict
from typing import Any

import click

from tersum.cli.output import blocks, emit_json, remark
from tersum.cli.picture import beside, picture_options
from tersum.documents.text import _
from tersum.errors import N_, Faults, OutOfRange, TersumError, UnknownName
from tersum.units import parse_decimal

FOUND, CANNOT_TELL, BAD_INPUT = 0, 1, 3


@click.command(
    help=_("Compare treatments on divided panels: which leaves less, and how sure that is."),
    epilog=_("Example: tersum compare examples/trial/trial.csv --plan examples/trial/trial.toml. Columns: vehicle, "
             "panel, arm and after; where known also part, swab, before, blank. Exit 0: every comparison has a result; "
             "1: at least one cannot be told; 3: the table has faults."))
@click.argument("trial", metavar="TRIAL.csv")
@click.option("--plan", "plan_path", metavar="TRIAL.toml", help=_("The plan, written by tersum trial plan."))
@click.option("--control", metavar="ARM", help=_("The treatment the others are compared with."))
@click.option("--all-pairs", is_flag=True, help=_("Compare each treatment with each."))
@click.option("--margin", metavar="FACTOR", help=_("The largest factor that does not matter, set before any reading."))
@click.option("--factor", metavar="FACTOR", help=_("The factor worth finding."))
@click.option("--untreated", metavar="ARM", help=_("The arm that was left untreated."))
@click.option("--water-only", metavar="ARM", help=_("The arm that was wiped with water only."))
@click.option("--picked-dirty", is_flag=True, help=_("The panels were picked by their readings."))
@click.option("--recovery", multiple=True, metavar="ARM=SHARE[+-ERROR]",
              help=_("Share of a spike read on a surface this arm treated; may be given again."))
@click.option("--seed", type=click.IntRange(0), default=1, show_default=True, metavar="N",
              help=_("Of the draws, where assignments are too many to count."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
@picture_options
@click.pass_context
def compare(ctx: click.Context, /, trial: str, as_json: bool, seed: int, **given: Any) -> None:
    import numpy as np

    from tersum.documents import trial_text
    from tersum.evidence import comparison
    from tersum.evidence.trial import units_of
    from tersum.records.trial_file import read_trial
    from tersum.records.trial_plan import departures, read_plan

    plan = read_plan(given["plan_path"]) if given["plan_path"] else None
    table = read_trial(trial)
    if len(table.faults):
        raise Faults(list(table.faults))
    units = units_of(table.rows)
    asked = _asked(given, plan, units.arms)
    found = comparison.compare(units, asked, rng=np.random.default_rng(seed))
    moved = departures(plan, table.rows) if plan else ()
    lines = trial_text.comparison_lines(found)
    notes = trial_text.beside_lines(table.unread, moved, planned=plan is not None, margin=asked.margin_log10)
    if given["picture"]:
        from tersum.documents.charts.comparison_chart import comparison_chart

        beside(given, lambda look: comparison_chart(found, **look))
    if as_json:
        emit_json("tersum/comparison/1", _body(found, [*lines, *notes], plan, moved, seed))
    else:
        blocks(trial_text.comparison_blocks(found))
        for line in notes:
            remark(line)
    told = all(one.verdict != comparison.CANNOT_TELL for one in found.contrasts)
    ctx.exit(FOUND if told else CANNOT_TELL)


def _asked(given: dict[str, Any], plan: Any, arms: tuple[str, ...]) -> Any:
    """Return what was settled beforehand, from the plan and, where that is silent, from the options."""
    from tersum.catalogue.load import book_repeatability
    from tersum.evidence.comparison import Asked
    from tersum.evidence.trial_remarks import AsDone

    control = plan.control if plan else given["control"]
    if control is None:
        raise click.UsageError(_("Give --control or --plan: the treatment the others are compared with, of {arms}.")
                               .format(arms=", ".join(arms)))
    margin, factor = _number("--margin", given["margin"]), _number("--factor", given["factor"])
    done = AsDone(untreated=plan.untreated if plan else given["untreated"],
                  water_only=plan.water_only if plan else given["water_only"],
                  picked_dirty=given["picked_dirty"] or bool(plan and plan.picked_dirty),
                  recovery=dict(_recovery(text) for text in given["recovery"]))
    if plan is not None:
        if any(given[name] for name in ("control", "margin", "factor", "untreated", "water_only", "all_pairs")):
            raise click.UsageError(_("The plan settles what is compared; give no option beside it that does."))
        margin, factor = plan.margin, plan.factor
    faults: list[TersumError] = []
    if margin is not None and margin <= 1.0:
        faults.append(OutOfRange("--margin", margin, N_("a factor above 1, such as 1.25")))
    if factor == 1.0:
        faults.append(OutOfRange("--factor", factor, N_("a factor other than 1")))
    if control not in arms:
        faults.append(UnknownName("control", control, arms))
    if faults:
        raise Faults(faults)
    return Asked(control, all_pairs=plan.all_pairs if plan else given["all_pairs"],
                 margin_log10=None if margin is None else math.log10(margin), factor=factor or 2.0,
                 spread_log10=book_repeatability().number, done=done)


def _recovery(text: str) -> tuple[str, tuple[float, float]]:
    arm, mark, share = text.partition("=")
    value, _mark, error = share.partition("+-")
    if not mark or not arm.strip():
        raise click.UsageError(_("--recovery takes an arm, = and a share, such as A=0.8+-0.1; got {text}.").format(
            text=text))
    return arm.strip(), (_number("--recovery", value) or 0.0, _number("--recovery", error) or 0.0)


def _number(option: str, text: str | None) -> float | None:
    if not text:
        return None
    try:
        number = float(parse_decimal(text, field=option))
    except TersumError as refused:
        raise click.UsageError(refused.sentence(_)) from None
    if number < 0.0:
        raise click.UsageError(OutOfRange(option, text, N_("0 or more")).sentence(_))
    return number


def _body(found: Any, lines: list[str], plan: Any, moved: tuple[Any, ...], seed: int) -> dict[str, Any]:
    contrasts = []
    for one in found.contrasts:
        shuffled = None if one.rerandomised is None else {
            "count": one.rerandomised.count_two_sided, "total": one.rerandomised.total,
            "exact": one.rerandomised.exact, "p": one.rerandomised.p_two_sided, "ratio_log10": one.rerandomised_log10}
        margin = None if one.equivalence is None else {
            **asdict(one.equivalence), "equivalent": one.equivalence.equivalent, "not_worse": one.equivalence.not_worse}
        low, high = one.ratio_interval
        contrasts.append({"arm": one.arm, "other": one.other, "verdict": one.verdict, "why": one.why or None,
                          "pairs": one.pairs, "pairs_needed": one.pairs_needed, "ratio": one.ratio, "low": low,
                          "high": high, "difference_log10": one.difference_log10,
                          "standard_error_log10": one.standard_error, "degrees_of_freedom": one.degrees_of_freedom,
                          "p": one.p, "adjusted_p": one.adjusted_p, "interval_thin": one.thin or None,
                          "rerandomisation": shuffled, "margin": margin})
    model = found.model
    return {"control": found.asked.control, "level": found.units.level,
            "plan_sha256": plan.fingerprint if plan else None, "seed": seed,
            "method": model.method if model else None, "contrasts": contrasts,
            "panel_sd_log10": model.panel_sd if model else None,
            "residual_sd_log10": model.residual_sd if model else None,
            "before_slope": model.before_slope if model else None,
            "not_as_drawn": [list(one) for one in moved],
            "remarks": [asdict(one) for one in found.remarks], "sentences": lines}
