"""``tersum monitor``: charts over visits, funnels of places, what comes back dirty, and when the next visit is due."""

from __future__ import annotations

import csv
import math
import sys
from collections.abc import Iterable, Sequence
from dataclasses import asdict
from typing import Any

import click

from tersum.cli.output import blocks, emit_json, remark, table
from tersum.cli.picture import beside, result_options
from tersum.documents.text import _
from tersum.errors import N_, OutOfRange, TersumError
from tersum.units import parse_decimal

DONE, NO = 0, 1
_STAGES = ("as_found", "cleaned", "treated")
_KINDS = ("individuals", "ewma", "cusum")


@click.group(help=_("Watch readings over many visits: charts, places, what comes back dirty, when to come again."),
             epilog=_("HISTORY.csv has the columns at, place, point, stage and rlu; where known also visit, surface, "
                      "instrument, blank, turn (in the order of wiping), person, limit, note. Exit 0: nothing stands "
                      "out; 1: something does, or it cannot be told; 3: the table has faults."))
def monitor() -> None:
    pass


@monitor.command(
    help=_("Chart each stream of readings, one value a visit, by one rule."),
    epilog=_("Example: tersum monitor chart examples/monitoring/history.csv --picture chart.svg. A stream is a surface "
             "class with an instrument; with several, --stream names the one to draw."))
@click.argument("history", metavar="HISTORY.csv")
@click.option("--rule", type=click.Choice(_KINDS), default="ewma", show_default=True,
              help=_("The one rule: single visits for big jumps, ewma or cusum for small lasting shifts."))
@click.option("--stage", type=click.Choice(_STAGES), default="cleaned", show_default=True,
              help=_("Which readings."))
@click.option("--baseline", type=click.IntRange(20, 100_000), default=20, show_default=True, metavar="N",
              help=_("So many first visits, known to have been in order, set the limits."))
@click.option("--residuals", is_flag=True, help=_("Chart what is left after the visit before, where visits hang "
                                                  "together."))
@click.option("--stream", metavar="NAME", help=_("Only this stream."))
@result_options
@click.pass_context
def chart(ctx: click.Context, /, history: str, as_json: bool, as_csv: bool, **given: Any) -> None:
    from tersum.documents import monitor_text
    from tersum.evidence import streams, watching
    from tersum.records.history_file import read_history

    found = streams.streams_of(read_history(history), given["stage"])
    found = _chosen(found, given["stream"])
    if given["picture"] and len(found) > 1:
        raise click.UsageError(_("One picture shows one stream; name it with --stream: {names}.").format(
            names="; ".join(one.name for one in found)))
    watched = [(one, watching.watch(one.values, kind=given["rule"], baseline=given["baseline"], left_out=one.left_out,
                                    residuals=given["residuals"])) for one in found]
    told = {one.name: monitor_text.stream_lines(one, seen) for one, seen in watched}
    if as_json:
        emit_json("tersum/monitor-chart/1", {"streams": [
            {"stream": one.name, "visits": list(one.visits), "left_out": one.left_out, "by_median": one.by_median,
             **asdict(seen), "sentences": told[one.name]} for one, seen in watched]})
    elif as_csv:
        _csv(("stream", "visit", "value_log10", "drawn", "lower", "upper", "signal"), (
            (one.name, visit, seen.values[place], seen.drawn[place], seen.lower[place], seen.upper[place],
             "yes" if place in seen.signals else "no") for one, seen in watched
            for place, visit in enumerate(one.visits)))
    else:
        for one, _seen in watched:
            _lines(one.name or _("all readings"), told[one.name])
    if given["picture"]:
        from tersum.documents.charts.control_chart import control_chart

        beside(given, lambda look: control_chart(watched[0][0].name, watched[0][1], **look))
    ctx.exit(DONE if all(seen.verdict == watching.STEADY for _one, seen in watched) else NO)


@monitor.command(
    help=_("Chart shares, such as points cleaned again of those cleaned, or counts, such as faults a visit."),
    epilog=_("Example: tersum monitor counts examples/monitoring/again.csv. Columns: at and count; with looked_at "
             "they are shares. Small groups get exact limits."))
@click.argument("counts", metavar="COUNTS.csv")
@click.option("--baseline", type=click.IntRange(20, 100_000), default=20, show_default=True, metavar="N",
              help=_("So many first visits, known to have been in order, set the limits."))
@result_options
@click.pass_context
def counts(ctx: click.Context, /, counts: str, as_json: bool, as_csv: bool, **given: Any) -> None:
    from tersum.documents import monitor_text
    from tersum.evidence import watching, watching_counts
    from tersum.records.history_file import read_counts

    rows = read_counts(counts)
    sized = [row["looked_at"] is not None for row in rows]
    if any(sized) and not all(sized):
        raise OutOfRange("looked_at", _("row {row}").format(row=rows[sized.index(False)]["row"]),
                         N_("a number in each row, or in none"))
    found = watching_counts.watch_counts([row["count"] for row in rows],
                                         [row["looked_at"] for row in rows] if all(sized) else None,
                                         baseline=given["baseline"])
    days = [row["at"] for row in rows]
    lines = monitor_text.counts_lines(found, days)
    if as_json:
        emit_json("tersum/monitor-counts/1", {"at": [day.isoformat() for day in days], **asdict(found),
                                              "sentences": lines})
    elif as_csv:
        _csv(("at", "value", "lower", "upper", "signal"), (
            (day, found.values[place], found.lower[place], found.upper[place],
             "yes" if place in found.signals else "no") for place, day in enumerate(days)))
    else:
        _lines("", lines)
    if given["picture"]:
        from tersum.documents.charts.counts_chart import counts_chart

        beside(given, lambda look: counts_chart(found, **look))
    ctx.exit(DONE if found.verdict == watching.STEADY else NO)


@monitor.command(
    help=_("Show which places lie outside what chance explains; people only on request, after their mix of work."),
    epilog=_("Example: tersum monitor funnel examples/monitoring/history.csv --limit 120 --stage as_found"))
@click.argument("history", metavar="HISTORY.csv")
@click.option("--limit", metavar="RLU", help=_("Limit where a row names none."))
@click.option("--stage", type=click.Choice(_STAGES), default="cleaned", show_default=True, help=_("Which readings."))
@click.option("--people", is_flag=True, help=_("People instead of places, with surface and level as found taken out."))
@result_options
@click.pass_context
def funnel(ctx: click.Context, /, history: str, as_json: bool, as_csv: bool, **given: Any) -> None:
    from tersum.documents import monitor_text
    from tersum.evidence import case_mix, strata
    from tersum.records.history_file import read_history

    rows = read_history(history, limit_rlu=_rlu(given["limit"]))
    mix = strata.people_mix(rows, given["stage"]) if given["people"] else strata.place_mix(rows, given["stage"])
    found = case_mix.funnel_of(*mix)
    lines = monitor_text.funnel_lines(found, people=given["people"])
    cells = [(unit.name, unit.failing, unit.looked_at, unit.expected, *unit.limits_95, *unit.limits_998)
             for unit in found.units]
    if as_json:
        emit_json("tersum/monitor-funnel/1", {**asdict(found), "people": given["people"], "sentences": lines})
    elif as_csv:
        _csv(("name", "above_limit", "looked_at", "expected", "low_95", "high_95", "low_998", "high_998", "verdict"),
             ((*row, unit.verdict) for row, unit in zip(cells, found.units, strict=True)))
    else:
        table((_("person") if given["people"] else _("place"), _("above limit"), _("of"), _("expected"), "95 %",
               _("what it says")),
              [(unit.name, unit.failing, unit.looked_at, f"{unit.expected:.1f}",
                f"{unit.limits_95[0]}–{unit.limits_95[1]}", monitor_text.unit_words(unit)) for unit in found.units],
              right=(1, 2, 3, 4))
        _lines("", lines)
    if given["picture"]:
        from tersum.documents.charts.funnel_chart import funnel_chart

        beside(given, lambda look: funnel_chart(found, **look))
    ctx.exit(NO if any(unit.verdict == case_mix.OUTSIDE for unit in found.units) else DONE)


@monitor.command(
    help=_("Show which points are found dirty again and again, more often than their class."),
    epilog=_("Example: tersum monitor returns examples/monitoring/history.csv --limit 120"))
@click.argument("history", metavar="HISTORY.csv")
@click.option("--limit", metavar="RLU", help=_("Limit where a row names none."))
@click.option("--risk", type=click.FloatRange(0.0001, 0.2), default=0.01, show_default=True, metavar="P",
              help=_("Of naming any point wrongly, all together."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
@click.option("--csv", "as_csv", is_flag=True, help=_("Print the table as CSV."))
@click.pass_context
def returns(ctx: click.Context, /, history: str, limit: str | None, risk: float, as_json: bool, as_csv: bool) -> None:
    from tersum.evidence import returning
    from tersum.records.history_file import read_history

    found = returning.returning(read_history(history, limit_rlu=_rlu(limit)), risk=risk)
    cells = [(one.place, one.point, one.surface, one.dirty, one.visits, one.usual_frac, one.returns) for one in found]
    if as_json:
        emit_json("tersum/monitor-returns/1", {"risk": risk, "points": [asdict(one) for one in found]})
    elif as_csv:
        _csv(("place", "point", "surface", "dirty", "visits", "usual_frac", "comes_back"),
             ((*row[:-1], "yes" if row[-1] else "no") for row in cells))
    else:
        table((_("place"), _("point"), _("dirty as found"), _("of visits"), _("usual %"), _("what it says")),
              [(one.place, one.point, one.dirty, one.visits, f"{100.0 * one.usual_frac:.0f}",
                _("comes back dirty") if one.returns else "") for one in found], right=(2, 3, 4))
        named = sum(one.returns for one in found)
        _lines("", [_("{count} of {total} points come back dirty more often than their class explains (any wrongly "
                      "named: at most {risk} %).").format(count=named, total=len(found), risk=f"{100.0 * risk:g}")])
    ctx.exit(NO if any(one.returns for one in found) else DONE)


@monitor.command(
    help=_("Show whether what is left grows along the order of wiping, as where a cloth or bucket carries dirt."),
    epilog=_("Example: tersum monitor wiping examples/monitoring/history.csv. Needs the column turn, and each point at "
             "two visits or more: what is usual at a point is taken off."))
@click.argument("history", metavar="HISTORY.csv")
@click.option("--stage", type=click.Choice(_STAGES), default="cleaned", show_default=True, help=_("Which readings."))
@click.option("--last", type=click.IntRange(1, 1000), default=1, show_default=True, metavar="N",
              help=_("So many of the latest visits; the others say what is usual at a point."))
@click.option("--risk", type=click.FloatRange(0.0001, 0.2), default=0.05, show_default=True, metavar="P",
              help=_("Of naming any visit wrongly, all together."))
@click.option("--seed", type=click.IntRange(0), default=1, show_default=True, metavar="N", help=_("Of the draws."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
@click.option("--csv", "as_csv", is_flag=True, help=_("Print the table as CSV."))
@click.pass_context
def wiping(ctx: click.Context, /, history: str, as_json: bool, as_csv: bool, **given: Any) -> None:
    import numpy as np

    from tersum.documents import monitor_text
    from tersum.evidence import returning
    from tersum.records.history_file import read_history

    found = returning.carried_visits(read_history(history), given["stage"], last=given["last"], risk=given["risk"],
                                     rng=np.random.default_rng(given["seed"]))
    if as_json:
        emit_json("tersum/monitor-wiping/1", {"seed": given["seed"], "risk": given["risk"],
                                              "visits": [asdict(one) for one in found]})
    elif as_csv:
        _csv(("visit", "points", "rank_correlation", "p", "carried"), (
            (one.visit, one.points, one.rank_correlation, one.p, "yes" if one.carried else "no") for one in found))
    else:
        table((_("visit"), _("points"), _("rank correlation"), "p", _("what it says")),
              [(one.visit, one.points, f"{one.rank_correlation:.2f}", f"{one.p:.4f}", monitor_text.carried_words(one))
               for one in found], right=(1, 2, 3))
        _lines("", monitor_text.carried_lines(found))
    ctx.exit(NO if any(one.carried or not one.can_tell for one in found) else DONE)


@monitor.command(
    name="resoiling",
    help=_("Show how fast places soil again, and when each is due."),
    epilog=_("Example: tersum monitor resoiling examples/monitoring/history.csv --limit 120. Needs three intervals or "
             "more: cleaned or treated at one visit, as_found at the next."))
@click.argument("history", metavar="HISTORY.csv")
@click.option("--limit", required=True, metavar="RLU", help=_("The level not to be reached."))
@click.option("--coverage", type=click.FloatRange(0.5, 0.99), default=0.9, show_default=True, metavar="P",
              help=_("Share of later readings that shall lie below it."))
@click.option("--longest-days", type=click.FloatRange(1.0, 3650.0), metavar="N", help=_("Longest interval agreed."))
@click.option("--log-time", is_flag=True, help=_("For growth that levels off."))
@result_options
def resoiling_(history: str, as_json: bool, as_csv: bool, **given: Any) -> None:
    from tersum.documents import monitor_text
    from tersum.evidence import streams
    from tersum.evidence.resoiling import resoiling
    from tersum.records.history_file import read_history

    limit = math.log10(_rlu(given["limit"]) or 1.0)
    rows = read_history(history)
    spans = streams.intervals(rows)
    if len(spans) < 3:
        raise OutOfRange("intervals", len(spans), N_("3 or more: places left cleaned at one visit and read as found at "
                                                     "the next"))
    places, days, left, seen = zip(*spans, strict=True)
    found = resoiling(places, days, left, seen, limit_log10=limit, coverage=given["coverage"],
                      longest_days=given["longest_days"], log_time=given["log_time"])
    last = {row.place: row.day for row in sorted(rows, key=lambda row: row.day)}
    lines = monitor_text.resoiling_lines(found)
    due = [(one.place, one.days, monitor_text.due_date(one, last[one.place]), one.basis, one.intervals)
           for one in found.due]
    if as_json:
        body = asdict(found)
        for one, row in zip(body["due"], due, strict=True):
            one["date"] = row[2]
        emit_json("tersum/monitor-resoiling/1", {**body, "limit_log10": limit, "sentences": lines})
    elif as_csv:
        _csv(("place", "due_days", "due_on", "basis", "intervals"), due)
    else:
        table((_("place"), _("due after days"), _("that is"), _("from"), _("intervals")),
              [(one.place, monitor_text.due_words(one), row[2], monitor_text.basis_words(one), one.intervals)
               for one, row in zip(found.due, due, strict=True)], right=(4,))
        _lines("", lines)
    if given["picture"]:
        from tersum.documents.charts.resoiling_chart import resoiling_chart

        beside(given, lambda look: resoiling_chart(
            found, [*((0.0, level) for level in left), *zip(days, seen, strict=True)], limit_log10=limit, **look))


def _chosen(found: Sequence[Any], name: str | None) -> tuple[Any, ...]:
    if name is None:
        return tuple(found)
    kept = tuple(one for one in found if one.name == name)
    if not kept:
        raise OutOfRange("--stream", name, "{names}", names="; ".join(one.name for one in found))
    return kept


def _rlu(text: str | None) -> float | None:
    if text is None:
        return None
    try:
        number = float(parse_decimal(text, field="--limit"))
    except TersumError as refused:
        raise click.UsageError(refused.sentence(_)) from None
    if number <= 0.0:
        raise click.UsageError(OutOfRange("--limit", text, N_("more than 0 RLU")).sentence(_))
    return number


def _lines(heading: str, lines: Sequence[str]) -> None:
    blocks([[heading, *lines]] if heading else [[line] for line in lines])


def _csv(names: Sequence[str], rows: Iterable[Sequence[object]]) -> None:
    out = csv.writer(sys.stdout, lineterminator="\n")
    out.writerow(names)
    out.writerows(rows)
    remark(_("Levels are log10 of net RLU.")) if "value_log10" in names else None
