"""How long a pH takes: many as an array and one alone against PHREEQC, and the command from a cold start."""

from __future__ import annotations

import subprocess
import sys
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from types import ModuleType

import numpy as np
from measuring import Result, compare

from tersum.chemistry.ph import solution
from tersum.chemistry.ph_arrays import solutions
from tersum.chemistry.recipe import Water

NAME = "pH of peracid dilutions in tap water"
GOAL = "per solution 100 times faster than PHREEQC as an array, 2 times alone; tersum ph within 2 times import numpy"
MANY, FEW = 100_000, 1_000
TERSUM = str(Path(sys.executable).with_name("tersum"))


def measure() -> list[Result]:
    """Time ours and the reference in turns; the same kind of mixture in both, with activities in both."""
    # 100,000 of ours against 1,000 of theirs: a ratio of 1 is a hundred times faster per solution.
    array = f"{MANY:,} as an array"
    inputs = f"one PHREEQC input of {FEW:,}; a ratio of 1 is {MANY // FEW} times per solution"
    scalar, one_call = "one solution", "one PHREEQC call"
    if find_spec("phreeqpython") is None:
        none = "phreeqpython is not installed"
        return [Result(array, inputs, 1.0, missing=none), Result(scalar, one_call, 0.5, missing=none), _cold()]
    return [_array(array, inputs), _scalar(scalar, one_call), _cold()]


def _array(name: str, reference_name: str) -> Result:
    phreeqc, made = _referee(), _mixtures(MANY)
    engine = phreeqc.engine()
    blocks = [phreeqc.block(number + 1, {key: float(made[key][number]) for key in phreeqc.ADDED if key in made},
                            temp_c=float(made["temp_c"][number]), cations_mol_kg=float(made["alkalinity"][number]),
                            carbonate_mol_kg=float(made["carbonate"][number])) for number in range(FEW)]
    amounts = {key: made[key] for key in ("acetic acid", "peracetic acid", "hydrogen peroxide")}

    def ours() -> object:
        return solutions(amounts, temp_c=made["temp_c"], alkalinity_mol_kg=made["alkalinity"],
                         carbonate_mol_kg=made["carbonate"])

    theirs = np.array([ph for ph, _strength in phreeqc.solved(engine, blocks)])
    gap = float(np.max(np.abs(ours().ph[:FEW] - theirs)))  # type: ignore[attr-defined]
    if gap > 0.05:
        return Result(name, reference_name, 1.0, missing=f"the two differ by {gap:.3f} pH")
    return compare(name, ours, lambda: phreeqc.solved(engine, blocks), reference_name=reference_name, goal_ratio=1.0,
                   runs=9)


def _scalar(name: str, reference_name: str) -> Result:
    phreeqc, water = _referee(), Water(0.003, carbonate_mol_kg=0.0033)
    engine, mixture = phreeqc.engine(), {"acetic acid": 0.02, "peracetic acid": 0.01, "hydrogen peroxide": 0.1}
    theirs = {"units": "mol/kgw", "temp": 20.0, "pH": "7 charge", "Ace": 0.02, "Paa": 0.01, "Hpx": 0.1, "Cat": 0.003,
              "C(4)": 0.0033}

    def call() -> None:
        made = engine.add_solution(theirs)
        assert 3.0 < made.pH < 4.5
        made.forget()

    return compare(name, lambda: [solution(mixture, temp_c=20.0, water=water) for _ in range(50)],
                   lambda: [call() for _ in range(50)], reference_name=reference_name, goal_ratio=0.5, runs=21)


def _cold() -> Result:
    command = [TERSUM, "ph", "--product", "Demo Concentrate A", "--ratio", "1+20", "--alkalinity", "3 mmol/L"]
    reference = [sys.executable, "-c", "import numpy"]
    tried = subprocess.run(command, capture_output=True, text=True)
    if tried.returncode != 0:
        return Result("tersum ph", 'python -c "import numpy"', 2.0, missing=tried.stderr.strip()[-200:])
    return compare("tersum ph", lambda: subprocess.run(command, capture_output=True),
                   lambda: subprocess.run(reference, capture_output=True, check=True),
                   reference_name='python -c "import numpy"', goal_ratio=2.0, runs=21)


def _mixtures(number: int) -> dict[str, np.ndarray]:
    rng = np.random.default_rng(20250102)
    alkalinity = rng.uniform(0.0, 0.008, number)
    return {"acetic acid": 10.0 ** rng.uniform(-3.0, -0.5, number),
            "peracetic acid": 10.0 ** rng.uniform(-3.0, -1.0, number),
            "hydrogen peroxide": 10.0 ** rng.uniform(-3.0, -0.3, number), "temp_c": rng.uniform(5.0, 45.0, number),
            "alkalinity": alkalinity, "carbonate": alkalinity * rng.uniform(1.0, 1.2, number)}


def _referee() -> ModuleType:
    """Return the module of the tests that speaks to PHREEQC."""
    sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "tests"))
    return import_module("chemistry.phreeqc")
