"""Limits from one's own readings, in plain sentences: what was found, what a baseline lacks, what it cannot say."""

from __future__ import annotations

import math

from tersum.documents.numbers import number_text
from tersum.documents.text import _
from tersum.errors import N_
from tersum.evidence import baseline
from tersum.evidence.baseline import Lack, OwnLimit

_LACKS = {
    baseline.ONLY_PASSED: N_("These readings are of visits or points that had passed. They are cut off at the limit "
                             "they passed, and would give an ever lower one: take all visits of a period."),
    baseline.FEW_POINTS: N_("Points after a clean: {have}; the method needs {need} or more."),
    baseline.FEW_VEHICLES: N_("Vehicles or rooms: {have}; needed are {need} or more, since they differ."),
    baseline.FEW_PEOPLE: N_("People named: {have}; needed are {need} or more (column person)."),
    baseline.FEW_DAYS: N_("Days: {have}; needed are {need} or more (column at)."),
    baseline.NOT_MEASURED: N_("{have} of {need} readings lie outside the meter's range: this method needs numbers; "
                              "take the percentile."),
    baseline.NO_SCATTER: N_("The readings show no scatter at all: check the meter."),
}


def lack_line(lack: Lack) -> str:
    """Return what a baseline lacks."""
    return _(_LACKS[lack.code]).format(have=lack.have, need=lack.need)


def limit_line(surface: str, found: OwnLimit) -> str:
    """Return a limit as a sentence."""
    words = {"surface": surface, "rlu": number_text(found.rlu), "share": number_text(100.0 * found.coverage),
             "sure": number_text(100.0 * found.confidence), "n": found.n, "vehicles": found.vehicles,
             "rank": found.rank}
    if found.method == baseline.PERCENTILE:
        return _("{surface}: {rlu} RLU. Of all such points after this clean at least {share} in 100 lie at or below "
                 "it, {sure} % sure (reading {rank} of {n} in order, {vehicles} vehicles).").format(**words)
    return _("{surface}: {rlu} RLU. Of all such points after this clean at least {share} in 100 lie at or below it, "
             "{sure} % sure, if readings are log-normal ({n} points of {vehicles} vehicles).").format(**words)


def beside_lines() -> list[str]:
    """Return what a limit of one's own does not say."""
    return [_("Such a limit says what this procedure reaches with this instrument and swab. It says nothing of health, "
              "and nothing of what lives."),
            _("Frozen: visits it has judged stay as they were judged. Look again after 30 more points or a year; "
              "change it only if the new interval leaves it out.")]


def basis_text(found: OwnLimit, frozen_on: str) -> str:
    """Return the words of the key ``basis``: who set the limit, when, and how."""
    return _("own baseline, frozen {day}: {method}, {share} % below, {sure} % sure").format(
        day=frozen_on, method=found.method, share=number_text(100.0 * found.coverage),
        sure=number_text(100.0 * found.confidence))


def note_text(found: OwnLimit, sha256: str, seed: int) -> str:
    """Return the words of the key ``note``: everything it takes to find the limit again."""
    high = "over range" if math.isinf(found.high_rlu) else number_text(found.high_rlu)
    return (f"points {found.n}; vehicles {found.vehicles}; rank {found.rank}; interval 90 % "
            f"{number_text(found.low_rlu)} to {high} RLU; seed {seed}; readings sha256 {sha256}")
