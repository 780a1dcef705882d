"""From a pH back to an acidity: the acetic acid that would give it, a label and no identification."""

from __future__ import annotations

import math
from dataclasses import dataclass

from tersum.chemistry.accepted import Checks
from tersum.chemistry.activity import DAVIES, debye_slope, log10_coefficient
from tersum.chemistry.equilibria import dissociation, molar_mass_g_mol
from tersum.chemistry.ph import HIGHEST_IONIC_STRENGTH, LN10, MOST_PASSES, SETTLED, Balance
from tersum.chemistry.recipe import MOST_MOL_KG, PURE_WATER, Recipe, Water, recipe
from tersum.errors import N_, OutOfRange

ACETIC = "acetic acid"
STEP_PH = 1e-4


@dataclass(frozen=True)
class AceticEquivalent:
    """Acetic acid, mol/kg, that would give the pH in this water; any acid may be behind it.

    ``low_mol_kg`` to ``high_mol_kg`` is the interval at twice the standard uncertainty of the pH (a factor, so it is
    not symmetric); ``relative_per_ph`` is the relative change per unit of pH downwards.
    """

    mol_kg: float
    low_mol_kg: float
    high_mol_kg: float
    relative_per_ph: float

    @property
    def g_kg(self) -> float:
        """The same in grams of acetic acid per kg."""
        return self.mol_kg * molar_mass_g_mol(ACETIC)


def acetic_equivalent(ph: float, *, u_ph: float = 0.0, temp_c: float = 25.0, water: Water = PURE_WATER,
                      pk: float | None = None) -> AceticEquivalent:
    """Return the acetic acid that would give a pH.

    Parameters
    ----------
    ph : float
        1 to 9, and below that of the water itself.
    u_ph : float
        Standard uncertainty of the reading, 0 to 0.5. At 0.05 the acidity is known to about 23 %, at 0.1 to 46 %.
    temp_c : float
        0 to 60 °C.
    pk : float, optional
        pK of acetic acid to take in place of the catalogue's, 3 to 7.

    Raises
    ------
    OutOfRange
        Also for a pH above that of the water, and for one so low that no acetic acid gives it.

    Source
    ------
    Inverse of the charge balance of :func:`tersum.chemistry.ph.solution`, Davies activities.

    Examples
    --------
    >>> found = acetic_equivalent(3.0)
    >>> round(found.mol_kg, 4), round(found.g_kg, 2), round(found.relative_per_ph, 2)
    (0.058, 3.48, 4.56)
    """
    checks = Checks()
    checks.number("ph", ph, N_("1 to 9"), low=1.0, high=9.0)
    checks.number("u_ph", u_ph, N_("0 to 0.5"), low=0.0, high=0.5)
    if pk is not None:
        checks.number("pk", pk, N_("3 to 7"), low=3.0, high=7.0)
    checks.done()
    constant = dissociation(ACETIC, temp_c)[0] if pk is None else 10.0**-pk
    made = recipe({}, temp_c=temp_c, water=water)
    middle = _total(ph, made, constant)
    steep = math.log(_total(ph - STEP_PH, made, constant) / _total(ph + STEP_PH, made, constant)) / (2.0 * STEP_PH)
    reach = 2.0 * u_ph
    return AceticEquivalent(middle, _total(ph + reach, made, constant, strict=False),
                            _total(ph - reach, made, constant, strict=False), steep)


def _total(ph: float, made: Recipe, constant: float, *, strict: bool = True) -> float:
    """Return the acid, mol/kg; where none gives the pH a refusal, or 0 or infinity for the end of an interval."""
    activity, slope = math.exp(-ph * LN10), debye_slope(made.temp_c)
    strength = ion = 0.0
    for _ in range(MOST_PASSES):
        balance = Balance(made, strength)
        positive, negative, _rise, _fall = balance.charges(activity)
        ion = positive - negative
        before, strength = strength, balance.ionic_strength(activity) + 0.5 * max(ion, 0.0)
        if strength > HIGHEST_IONIC_STRENGTH or abs(strength - before) <= 1e-13 + SETTLED * strength:
            break
    g_ion: float = 10.0 ** log10_coefficient(strength, -1, slope=slope, model=DAVIES)
    total = ion * (activity * g_ion + constant) / constant
    if 0.0 < total <= MOST_MOL_KG and strength <= HIGHEST_IONIC_STRENGTH:
        return total
    if strict:
        raise OutOfRange("ph", ph, N_("below the pH of the water itself") if total <= 0.0 else
                         N_("a pH that acetic acid can give; below about 2 it is another acid"))
    return 0.0 if total <= 0.0 else math.inf
