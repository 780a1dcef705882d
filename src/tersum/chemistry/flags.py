"""Why a result is to be taken with care: codes and numbers, made into sentences by the documents room."""

from __future__ import annotations

from dataclasses import dataclass

from tersum.chemistry.activity import TRUSTED_IONIC_STRENGTH
from tersum.chemistry.equilibria import acid
from tersum.chemistry.recipe import Recipe

# Above this, mol/kg, water is no longer the solvent that the constants were measured in.
DILUTE_MOL_KG = 1.0


@dataclass(frozen=True)
class Flag:
    """One reason for care: a code, what it is about, and a number that says how much."""

    code: str
    about: str = ""
    number: float = 0.0


def validity(made: Recipe, ionic_strength_mol_kg: float) -> tuple[Flag, ...]:
    """Return where a solution lies outside what its constants were measured for.

    ``ionic-strength-high`` (number: mol/kg), ``constant-outside-its-range`` (about the substance; number: temperature),
    ``constant-without-temperature`` (about the substance; number: uncertainty of its pK, which then only covers the
    measured temperature), ``not-dilute`` (about the substance; number: mol/kg).
    """
    flags = []
    if ionic_strength_mol_kg > TRUSTED_IONIC_STRENGTH:
        flags.append(Flag("ionic-strength-high", "", ionic_strength_mol_kg))
    for part in made.parts:
        known = acid(part.name)
        if not known.low_c <= made.temp_c <= known.high_c:
            code = "constant-without-temperature" if known.low_c == known.high_c else "constant-outside-its-range"
            flags.append(Flag(code, part.name, known.uncertainty if known.low_c == known.high_c else made.temp_c))
        if part.total_mol_kg > DILUTE_MOL_KG:
            flags.append(Flag("not-dilute", part.name, part.total_mol_kg))
    return tuple(flags)
