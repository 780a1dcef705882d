"""PHREEQC as the referee of the charge balance: the catalogue's acids added to its own database, same constants."""

from __future__ import annotations

import phreeqpython

from tersum.chemistry.activity import ActivityModel
from tersum.chemistry.equilibria import acid

# What PHREEQC uses for these: uncharged species log g = 0.1 I, and ion sizes for H+, OH- and the carbonate ions of its
# database (-gamma lines of phreeqc.dat); the added ions have none and take Davies.
SAME_ACTIVITIES = ActivityModel(neutral_linear=0.1, ion_size_a={
    "H+": 9.0, "OH-": 3.5, "carbonic acid:-1": 5.4, "carbonic acid:-2": 5.4})
ADDED = {"acetic acid": "Ace", "peracetic acid": "Paa", "hydrogen peroxide": "Hpx", "hypochlorous acid": "Hoc",
         "citric acid": "Cit", "lactic acid": "Lac"}
INERT_CATION = "Cat"  # carries the alkalinity without ion pairs; "Na" carries it with those of the database


def engine() -> phreeqpython.PhreeqPython:
    """Return PHREEQC with the added species; made-up elements, so that it does not oxidise them."""
    made = phreeqpython.PhreeqPython(database="phreeqc.dat")
    made.ip.run_string(species())
    return made


def species() -> str:
    masters = [f"{INERT_CATION} {INERT_CATION}+ 0 {INERT_CATION} 23.0"]
    lines = [f"{INERT_CATION}+ = {INERT_CATION}+\n log_k 0"]
    for name, symbol in ADDED.items():
        known = acid(name)
        protons = len(known.terms)
        bare = f"{symbol}-{protons}" if protons > 1 else f"{symbol}-"
        masters.append(f"{symbol} {bare} 0 {symbol} 50.0")
        lines.append(f"{bare} = {bare}\n log_k 0")
        # PHREEQC counts from the bare ion upwards: the constants add up from the last proton to the first.
        for held in range(1, protons + 1):
            total = [sum(column) for column in zip(*known.terms[protons - held:], strict=True)]
            charge = protons - held
            sign = "" if charge == 0 else "-" if charge == 1 else f"-{charge}"
            lines.append(f"{bare} + {held} H+ = H{held}{symbol}{sign}\n log_k 1\n -analytic "
                         + " ".join(f"{one!r}" for one in total))
    return "SOLUTION_MASTER_SPECIES\n" + "\n".join(masters) + "\nSOLUTION_SPECIES\n" + "\n".join(lines) + "\nEND\n"


def block(number, composition, *, temp_c, cations_mol_kg=0.0, carbonate_mol_kg=0.0, cation=INERT_CATION, phase=""):
    """Return one SOLUTION of a PHREEQC input; charge balance sets its pH."""
    rows = [f"SOLUTION {number}", " units mol/kgw", f" temp {temp_c!r}", " pH 7 charge"]
    rows += [f" {ADDED[name]} {amount!r}" for name, amount in composition.items() if amount > 0.0]
    if cations_mol_kg > 0.0:
        rows.append(f" {cation} {cations_mol_kg!r}")
    if carbonate_mol_kg > 0.0 or phase:
        rows.append(f" C(4) {max(carbonate_mol_kg, 1e-5)!r} {phase}")
    return "\n".join(rows) + "\n"


PUNCH = ("SELECTED_OUTPUT 1\n -reset false\nUSER_PUNCH 1\n -headings pH I\n -start\n"
         " 10 PUNCH -LA(\"H+\"), MU\n -end\n")


def solved(made, blocks):
    """Return (pH, ionic strength) of each solution of one input."""
    made.ip.run_string(PUNCH + "".join(blocks) + "END\n")
    rows = made.ip.get_selected_output_array()
    return [(float(row[0]), float(row[1])) for row in rows[1:]]
