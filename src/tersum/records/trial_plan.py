"""TRIAL.toml, the plan of a trial: what is compared, by whom it is decided what matters, and the seed of its draw."""

from __future__ import annotations

import hashlib
import math
from dataclasses import dataclass

from tersum.errors import N_, OutOfRange
from tersum.evidence.assignment import Panel, Part, assigned
from tersum.evidence.trial import TrialReading
from tersum.fields import Fields
from tersum.records.toml_file import placed, read_toml

SCHEMA = "tersum/trial/1"


@dataclass(frozen=True)
class TrialPlan:
    """What was settled before any reading; ``margin`` and ``factor`` are factors, ``margin`` None where none was."""

    control: str
    arms: tuple[str, ...]
    panels: tuple[Panel, ...]
    seed: bytes
    planned_on: str
    margin: float | None = None
    factor: float = 2.0
    untreated: str | None = None
    water_only: str | None = None
    picked_dirty: bool = False
    all_pairs: bool = False
    invented: bool = False

    def parts(self) -> tuple[Part, ...]:
        """Return the assignment, from the seed."""
        return assigned(self.panels, self.arms, self.seed)

    @property
    def fingerprint(self) -> str:
        """SHA-256 of the plan as written: what a record of the trial names."""
        return hashlib.sha256(plan_text(self).encode()).hexdigest()


def departures(plan: TrialPlan, rows: tuple[TrialReading, ...]) -> tuple[tuple[str, str, str, str], ...]:
    """Return the parts that got another treatment than was drawn: vehicle, panel, part, treatment read.

    A table without a column part can only be held to which treatments a panel got.
    """
    planned = {(one.vehicle, one.panel, one.part): one.arm for one in plan.parts()}
    drawn = {(one.vehicle, one.panel, one.arm) for one in plan.parts()}
    found = []
    for row in rows:
        arm = planned.get((row.vehicle, row.panel, row.part))
        as_drawn = arm == row.arm if arm is not None else (
            row.part == row.arm and (row.vehicle, row.panel, row.arm) in drawn)
        if not as_drawn:
            found.append((row.vehicle, row.panel, row.part, row.arm))
    return tuple(dict.fromkeys(found))


def read_plan(path: str) -> TrialPlan:
    """Return the plan a file states.

    Raises
    ------
    RowFault
        If the file cannot be read.
    Faults
        Everything that is wrong with it, all at once.
    """
    fields = Fields(read_toml(path))
    fields.text("schema", choices=[SCHEMA])
    arms = fields.texts("arms", most=80)
    margin, factor = fields.optional_number("margin", above=1.0, most=1000.0), fields.number("factor", 2.0, above=0.0)
    plan = TrialPlan(
        control=fields.text("control", choices=arms), arms=arms, seed=_seed(fields),
        planned_on=fields.text("planned_on", most=40), margin=margin, factor=factor,
        untreated=fields.optional_text("untreated", choices=arms),
        water_only=fields.optional_text("water_only", choices=arms),
        picked_dirty=fields.yes("picked_dirty", False), all_pairs=fields.yes("all_pairs", False),
        invented=fields.yes("invented", False),
        panels=tuple(_panel(one) for one in fields.tables("panel", least=1)))
    if len(arms) < 2 or len(set(arms)) < len(arms):
        fields.refuse("arms", ", ".join(arms), N_("two treatments or more, each once"))
    if len(set(plan.panels)) < len(plan.panels):
        fields.refuse("panel", len(plan.panels), N_("each panel once"))
    if math.isfinite(factor) and factor == 1.0:
        fields.refuse("factor", factor, N_("a factor other than 1"))
    fields.close()
    if fields.faults:
        raise placed(path, fields.faults)
    return plan


def plan_text(plan: TrialPlan) -> str:
    """Return a plan as the text of its file; reading it gives the same plan."""
    lines = [f"schema = {_quoted(SCHEMA)}", f"planned_on = {_quoted(plan.planned_on)}",
             f"arms = [{', '.join(map(_quoted, plan.arms))}]", f"control = {_quoted(plan.control)}"]
    for key, value in (("untreated", plan.untreated), ("water_only", plan.water_only)):
        if value is not None:
            lines.append(f"{key} = {_quoted(value)}")
    if plan.margin is not None:
        lines.append(f"margin = {plan.margin!r}")
    lines.append(f"factor = {plan.factor!r}")
    lines += [f"{key} = true" for key in ("picked_dirty", "all_pairs", "invented") if getattr(plan, key)]
    lines.append(f'seed_hex = "{plan.seed.hex()}"')
    for panel in plan.panels:
        lines += ["", "[[panel]]", f"vehicle = {_quoted(panel.vehicle)}", f"name = {_quoted(panel.name)}"]
    return "\n".join(lines) + "\n"


def _seed(fields: Fields) -> bytes:
    text = fields.text("seed_hex", most=128)
    try:
        seed = bytes.fromhex(text)
    except ValueError:
        seed = b""
    if text and len(seed) < 16:
        fields.refuse("seed_hex", text, N_("32 hexadecimal digits or more"))
    return seed


def _panel(fields: Fields) -> Panel:
    panel = Panel(fields.text("vehicle", most=80), fields.text("name", most=80))
    fields.close()
    return panel


def _quoted(text: str) -> str:
    if any(ord(mark) < 32 for mark in text):
        raise OutOfRange("text", text, N_("text on one line without control characters"))
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'
