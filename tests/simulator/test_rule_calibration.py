"""The rule that decides visits, held against simulated visits: the same verdicts, the same promise.

The simulated technician notes before each swab what spoils it; the rule has to make something of the note.
"""

import math
import os

import numpy as np
import pytest

from tersum.evidence.conformity import WORDS, Guard, conformity_of_groups
from tersum.simulator.swabs import COUNTED, NOT_FRESH, WET, Habits, swabs
from tersum.visit.decision import CLEAN_AGAIN, DONE, NOT_COUNTED, SWAB_AGAIN, LimitInForce, Terms
from tersum.visit.readings import Reading
from tersum.visit.rules import decide_point

POINTS = 100_000 if os.environ.get("TERSUM_TEST_PROFILE") == "soak" else 3_000
LIMIT = LimitInForce(300.0, "option")


def as_typed(taken, point, swab):
    """Return one simulated swab as a reading with the technician's answers."""
    fault = taken.fault[point, swab]
    return Reading("p", "cleaned", float(taken.low_rlu[point, swab]), float(taken.high_rlu[point, swab]), "simulated",
                   swab=swab + 1, dry=bool(fault != WET), fresh_area=bool(fault != NOT_FRESH))


def carried_out(taken, point, terms):
    """Swab a point as the rule asks for, until it asks no more; return the last verdict."""
    readings, verdict = [], SWAB_AGAIN
    while verdict in (SWAB_AGAIN, NOT_COUNTED) and len(readings) < taken.fault.shape[1]:
        readings.append(as_typed(taken, point, len(readings)))
        verdict = decide_point("p", readings, terms=terms, limit=LIMIT).verdict
    return verdict


@pytest.mark.parametrize("looks", [1, 2, 3])
def test_the_rule_releases_at_most_5_pct_at_the_limit(looks, record_property):
    """Half of the points have no fresh area left for a second swab, and one swab in twenty meets a wet surface."""
    taken = swabs(np.random.default_rng([41, looks]), np.full(POINTS, 300.0), looks + 2,
                  habits=Habits(wet_frac=0.05, same_spot_frac=0.5, lift_frac=0.6))
    released = np.mean([carried_out(taken, point, Terms(looks=looks)) == DONE for point in range(POINTS)])
    record_property("released_share", float(released))  # as workers can send it
    assert 0.02 < released <= 0.05 + 3 * math.sqrt(0.05 * 0.95 / POINTS)


@pytest.mark.parametrize("swabs_each", [1, 2])
def test_the_rule_and_the_arrays_give_the_same_verdicts(swabs_each):
    """Over the whole range of a meter, inequalities included."""
    rng = np.random.default_rng([42, swabs_each])
    taken = swabs(rng, 10.0 ** rng.uniform(0.0, 5.5, POINTS // 3), swabs_each)
    assert (taken.fault == COUNTED).all()
    with np.errstate(divide="ignore"):
        low, high = np.log10(taken.low_rlu), np.log10(taken.high_rlu)
    found = conformity_of_groups(low.ravel(), np.repeat(np.arange(len(low)), swabs_each), len(low),
                                 guard=Guard(300.0, 0.205, 10, looks=2), log10_high=high.ravel())
    compared = 0
    for point in range(len(low)):
        if swabs_each == 2 and low[point, 0] > math.log10(300):
            continue  # the rule remembers that this round ended at its first look
        decision = decide_point("p", [as_typed(taken, point, swab) for swab in range(swabs_each)],
                                terms=Terms(degrees_of_freedom=10), limit=LIMIT)
        assert WORDS[found.code[point]] == decision.verdict
        assert decision.p_conform == pytest.approx(found.p_conform[point], abs=6e-5)
        compared += 1
    assert compared > len(low) / 3
    assert {DONE, CLEAN_AGAIN} <= {WORDS[one] for one in found.code}
