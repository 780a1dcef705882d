"""No text for people escapes translation: under the pseudo-locale each plain English word is data or an option."""

import csv
import os
import re
import shlex
import shutil
import subprocess
import sys
import tomllib
from functools import cache
from pathlib import Path

import pytest

from tersum.cli.main import COMMANDS
from tersum.documents.text import PSEUDO_LOCALE
from tersum.records.columns import COLUMNS
from tersum.visit.readings import STAGES
from tersum.visit.rules import LATEST

ROOT = Path(__file__).resolve().parents[2]
ACCENTED = set("aceinouyACEINOU")  # the letters that the pseudo-locale accents: one left plain was never translated
UNITS = "RLU log10 mL L mg g kg h min cm2 w v ppm pH GUM SHA HMAC HEAD JSON CSV UTC"
# Names of the program itself: commands, file names of its output, schemas.
NAMES = ("tersum decisions plan reveal run check rebuild show mixing card json csv md pdf help toml needed water trace "
         "hold plates swab wells plaques reduction wet dry wiped likelihood ratio individuals ewma cusum light dark "
         "paper")
# Types of sealed facts, told by name where one is found wrong.
FACTS = "organisation opened visit planned draw revealed solution mixed step readings taken decided ended correction"
# Keys of the files that people write, which a fault names as they stand there.
KEYS = ("schema colour limit instrument swab area surface rlu basis known type duplicates detection over range spread "
        "degrees of freedom invented note visit organisation zone place point points step steps draw rule blanks "
        "quench control name kind product ending carried out read secondary memory computed practice")
BAD = "point,stage,rlu,rlv,note\nseat,cleaned,1e3,,\nseat,washed,1,,\n,cleaned,-1,,\nx,cleaned,1\n\"y,cleaned,2,,\n"
FROZEN = """schema = "tersum/limits/1"
[[limit]]
instrument = "Demo Meter"
swab = "Demo Swab"
area_cm2 = 100.0
surface = "smooth"
rlu = 81.0
basis = "own"
known = "computed"
[limit.frozen]
on = "2026-01-02"
method = "percentile"
share_pct = 95.0
confidence_pct = 95.0
points = 59
vehicles = 4
seed = 1
readings_sha256 = "ab"
anchor_rlu = 81.0
"""
BENCH = ("ph", "meter", "condensate", "titrate", "decay", "steam", "strength", "chart", "limits", "trial", "compare")
CASES = {
    "decide": "tersum decide examples/minibus-2/readings.csv --limit 250",
    "decide, no limit": "tersum decide examples/day-room/readings.csv",
    "decide, reduction": "tersum decide examples/minibus-1/readings.csv --limit 20 --rule 'limit and reduction' "
                         "--reduction 99",
    "decide, plain limit": "tersum decide examples/minibus-3/readings.csv --limit 100 --rule 'plain limit' --looks 1",
    "decide, bad rows": "tersum decide bad.csv --limit 250",
    "decide, missing": "tersum decide none.csv --limit 250",
    "decide, folder": "tersum decide . --limit 250",
    "decide, bad limit": "tersum decide bad.csv --limit 1,234",
    "decide, misuse": "tersum decide bad.csv --limit 1 --limits x.toml",
    "decide, bad limits": "tersum decide bad.csv --limits bad.toml --instrument bad.toml",
    "mix": "tersum mix --volume-ml 5000 --ratio 1+20 --product 'Demo Concentrate A'",
    "mix, target": "tersum mix --volume-ml 5000 --target 'peracetic acid=2000 mg/L' --product 'Demo Concentrate A'",
    "mix, interval": "tersum mix --volume-ml 5000 --product 'Demo Concentrate A' --min 'peracetic acid=1000 mg/L' "
                     "--max 'acetic acid=4 g/L'",
    "mix, none": "tersum mix --volume-ml 5000 --product 'Demo Concentrate A' --min 'peracetic acid=2 g/L' "
                 "--max 'acetic acid=1 g/L'",
    "mix, ambiguous": "tersum mix --volume-ml 1000 --ratio '1 to 20'",
    "mix, zero": "tersum mix --volume-ml 0 --ratio 1+20",
    "monitor chart": "tersum monitor chart examples/monitoring/history.csv",
    "monitor counts": "tersum monitor counts examples/monitoring/again.csv",
    "monitor funnel": "tersum monitor funnel examples/monitoring/history.csv --limit 120 --stage as_found",
    "monitor people": "tersum monitor funnel examples/monitoring/history.csv --limit 40 --people",
    "monitor returns": "tersum monitor returns examples/monitoring/history.csv --limit 120",
    "monitor wiping": "tersum monitor wiping examples/monitoring/history.csv",
    "monitor resoiling": "tersum monitor resoiling examples/monitoring/history.csv --limit 120",
    "sampling points": "tersum sampling points --points 40 --swabbed 12 --found 0",
    "sampling needed": "tersum sampling points --points 9 --failing 1 --sensitivity 0.5",
    "sampling series": "tersum sampling series --good 1 --bad 10",
    "sampling draw": "tersum sampling draw examples/sampling/points.csv --draw 4 --seed-file s.txt",
    "residue": "tersum residue examples/residue/spikes.csv",
    "agreement": "tersum agreement examples/agreement/pairs.csv --convert 200",
    "agreement, plates": "tersum agreement examples/agreement/plates.csv --limit-rlu 100 --limit-cfu 2.5",
    "agreement, refused": "tersum agreement examples/agreement/plates.csv --convert 100",
    "visit plan": "tersum visit plan examples/minibus-1/visit.toml --out out",
    "visit reveal": "tersum visit reveal examples/minibus-1/visit.toml",
    **{f"visit run, {name}": f"tersum visit run examples/{name}/visit.toml --readings examples/{name}/readings.csv "
                             "--out out"
       for name in ("minibus-1", "minibus-2", "minibus-3", "day-room")},
    "visit run, bad": "tersum visit run examples/minibus-1/visit.toml --readings bad.csv --out out",
    "visit plan, bad": "tersum visit plan bad.toml --out out",
    "ledger check": "tersum visit plan examples/minibus-1/visit.toml --out out; tersum ledger check",
    "ledger check, head": "tersum visit plan examples/minibus-1/visit.toml --out out; tersum ledger check --head "
                          f"1:{'0' * 64}",
    "ledger rebuild": "tersum visit plan examples/minibus-1/visit.toml --out out; tersum ledger rebuild",
    "doctor": "tersum doctor",
    "contact wet": "tersum contact wet examples/bench/wet.csv --ended-min 8 --label-min 5 --found-dry",
    "contact wet, met": "tersum contact wet examples/bench/wet.csv --ended-min 8 --label-min 5",
    "contact wet, bad": "tersum contact wet --mark 0=moist --mark x=dry --ended-min x --label-min 0",
    "contact needed": "tersum contact needed --label-min 1 --log10 4 --strength-mg-l 900 --temp-c 20 --model "
                      "examples/bench/law.toml",
    "contact needed, outside": "tersum contact needed --label-min 1 --log10 9 --strength-mg-l 9 --temp-c 5 --soil "
                               "blood --model examples/bench/law.toml",
    "contact needed, soil": "tersum contact needed --label-min 1 --log10 4 --strength-mg-l 9 --temp-c 5 "
                            "--soil-demand-mg-l 9",
    "contact water": "tersum contact water 'free chlorine' giardia --log10 3 --temp-c 10 --strength-mg-l 1 --ph 7",
    "heat trace": "tersum heat trace examples/bench/trace.csv --wanted 600 --sensor-u-k 0.5",
    "heat trace, not reached": "tersum heat trace examples/bench/trace.csv --wanted 3000 --cap-c 80",
    "heat trace, bad": "tersum heat trace bad.csv",
    "heat hold": "tersum heat hold --wanted 600 --temp-c 90 --sensor-u-k 1",
    "heat z": "tersum heat z --d 98=18 --d 105=1.4",
    "heat steam": "tersum heat steam 'hard plastic' --dwell-s 5 --thickness-mm 2",
    "heat steam, cold": "tersum heat steam aluminium --dwell-s 5",
    "counts plates": "tersum counts plates examples/bench/plates.csv",
    "counts plates, bad": "tersum counts plates --plate 0.01=4.28 --plate 3=1",
    "counts swab": "tersum counts swab --count 0 --plated-ml 1 --eluate-ml 10 --area-cm2 100",
    "counts contact-plate": "tersum counts contact-plate --count 340 --plate-cm2 25 --recovery-pct 50",
    "mpn": "tersum mpn examples/bench/tubes.csv",
    "mpn, not to be trusted": "tersum mpn --row 0.1=2/9 --row 0.01=3/3 --row 0.001=4/4",
    "mpn, all": "tersum mpn --row 0.1=3/3",
    "titre wells": "tersum titre wells examples/bench/wells-control.csv --inoculum-ml 0.1",
    "titre wells, none": "tersum titre wells examples/bench/wells-test.csv --inoculum-ml 0.1",
    "titre plaques": "tersum titre plaques --count 42 --dilution 10^-5 --inoculum-ml 0.2",
    "titre reduction": "tersum titre reduction examples/bench/wells-control.csv examples/bench/wells-test.csv "
                       "--inoculum-ml 0.1 --required 6",
    "titre reduction, measured": "tersum titre reduction examples/bench/wells-control.csv "
                                 "examples/bench/wells-control.csv --inoculum-ml 0.1 --required 1",
    **{f"{name} --help": f"tersum {name} --help" for name in (
        "contact", "contact wet", "contact needed", "contact water", "heat", "heat trace", "heat hold", "heat z",
        "heat steam", "counts", "counts plates", "counts swab", "counts contact-plate", "mpn", "titre", "titre wells",
        "titre plaques", "titre reduction")},
    "efficacy risk": "tersum efficacy risk 'Campylobacter jejuni, human' --dose 10 --dose 1000000000",
    "efficacy risk, own": "tersum efficacy risk --rate 0.01 --dose 10",
    "efficacy risk, half a curve": "tersum efficacy risk --alpha 1 --dose 10",
    "efficacy risk, misuse": "tersum efficacy risk --dose 10",
    **{f"{name} --help": f"tersum {name} --help" for name in ("efficacy", "efficacy risk")},
    "together": "tersum together 'Demo Concentrate A' 'Demo Cleaner B' --setting cloth",
    "together, may": "tersum together water ethanol",
    "together, unknown": "tersum together water nothing",
    "material": "tersum material ABS --product 'Demo Concentrate A' --ratio 1+20 --surface-c 100",
    "material, maker's": "tersum material camera --product 'Demo Cleaner B' --surface-c 100",
    "material, unknown": "tersum material nothing --product 'Demo Cleaner B'",
    "material, misuse": "tersum material ABS",
    **{f"{name} --help": f"tersum {name} --help" for name in ("together", "material")},
    "ph": "tersum ph --put 'acetic acid=10 mmol/L' --alkalinity '3 mmol/L' --temp-c 25",
    "ph, product": "tersum ph --product 'Demo Concentrate A' --ratio 1+20 --alkalinity '3 mmol/L' --water-ph 7.5 "
                   "--measured-ph 4.3",
    "ph, curve": "tersum ph --product 'Demo Concentrate A' --curve 10,20 --alkalinity '3 mmol/L' --water-ph 7.5",
    "ph, bad": "tersum ph --put 'acetic acid=10 mmol/L' --alkalinity '150 mg/L'",
    "meter calibrate": "tersum meter calibrate --temp-c 22 --buffer phthalate=171.9 --buffer phosphate=4.1",
    "meter calibrate, bad": "tersum meter calibrate --temp-c 25 --buffer 4.00=170 --buffer 4.01=169",
    "meter read": "tersum meter read --potential-mv 100 --sample-c 25 --temp-c 25 --buffer phthalate=171.9 --buffer "
                  "phosphate=4.1",
    "meter ratio": "tersum meter ratio --ph-a 4.37 --ph-b 3.55 --u-ph 0.05",
    "condensate": "tersum condensate --solution-ph 4.37 --condensate-ph 3.55 --solution-c 25 --condensate-c 25 "
                  "--alkalinity '3 mmol/L' --u-ph 0.03 --calibration good --peracid-mg-l 380",
    "condensate, bad": "tersum condensate --solution-ph 4,37 --condensate-ph x",
    "titrate sample": "tersum titrate sample 'peracetic acid' --titrant thiosulfate --titrant-mol-l 0.01 --titre-ml "
                      "26.40 --titre-ml 26.46 --blank-ml 0.10 --sample-ml 10 --burette-ml 50",
    "titrate sample, bad": "tersum titrate sample 'hydrogen peroxide' --titrant tea --titrant-mol-l 0.1 --titre-ml 26 "
                           "--sample-ml 10",
    "titrate strip": "tersum titrate strip --steps-mg-l 0,500,1000,2000 --shown-mg-l 1000 --floor-mg-l 1000",
    "decay": "tersum decay --point 0=1000 --point 24=905 --point 48=822 --point 72=738 --point 96=672 --floor-mg-l 800 "
             "--label-life-h 48",
    "decay, short": "tersum decay --point 0=1000 --point 24=905 --floor-mg-l 800",
    "steam rate": "tersum steam rate --power-kw 3 --gauge-mpa 0.4 --dryness-pct 95",
    "steam boiler": "tersum steam boiler 'peracetic acid'",
    "steam dose": "tersum steam dose --can-mg-l 200 --consumption-l-h 1.5 --area-m2-h 30",
    "strength convert": "tersum strength convert '30 % w/w' --density-kg-l 1.11 --substance 'hydrogen peroxide'",
    "strength fills": "tersum strength fills --area-m2 24 --rate-ml-m2 50 --tank-l 0.6 --loss-pct 15",
    "strength made": "tersum strength made --stock-g-l 55 --measured-g-l 0.95 --planned-parts 57",
    "strength top-up": "tersum strength top-up --left-l 4 --left-g-l 0.8 --tank-l 10 --target-g-l 1 --stock-g-l 50",
    "chart": "tersum decide examples/minibus-2/readings.csv --limit 250 --json > decisions.json; tersum chart ladder "
             "decisions.json --out ladder.json",
    "chart, missing": "tersum chart ladder none.json --out ladder.svg",
    "limits learn": "tersum limits learn examples/minibus-1/readings.csv --visits all --instrument bad.toml "
                    "--out own.toml",
    "trial plan": "tersum trial plan --control water --arm 'cloth A' --panel 'bus 1/seat' --seed-hex "
                  f"{'0a' * 16} --out plan.toml",
    "compare": "tersum compare examples/trial/trial.csv --plan examples/trial/trial.toml",
    "compare, bad": "tersum compare bad.csv",
    "compare, below": "tersum compare below.csv --control b --margin 1.25",
    "trial power": "tersum trial power --pair-spread 0.35 --factor 2",
    "repeatability": "tersum repeatability examples/duplicates.csv",
    "repeatability, nothing": "tersum repeatability examples/duplicates.csv --all-planned --seed 2",
    "limits, too few": "tersum limits learn examples/minibus-1/readings.csv --visits passed --swab 'Demo Swab' "
                       "--area-cm2 100",
    "limits, plates": "tersum limits learn examples/agreement/plates.csv --visits all --swab 'Demo Swab' "
                      "--area-cm2 100 --method culture --limit-cfu 2.5 --instrument 'Demo Meter'",
    "limits review": "tersum limits review frozen.toml examples/minibus-1/readings.csv --visits all --swab 'Demo Swab' "
                     "--area-cm2 100 --on 2028-01-01",
    "limits review, not learnt": "tersum limits review unlearnt.toml examples/minibus-1/readings.csv "
                                 "--visits all --swab 'Demo Swab' --area-cm2 100",
    "help": "tersum --help",
    "misuse": "tersum --nonsense",
    "no such command": "tersum clean",
    **{f"{name} --help": f"tersum {name} --help" for name in ("decide", "mix", "visit", "ledger", "doctor")},
    **{f"{name} --help": f"tersum {name} --help" for name in BENCH},
    **{f"{name} --help": f"tersum {name} --help" for name in (
        "monitor chart", "monitor counts", "monitor funnel", "monitor returns", "monitor wiping", "monitor resoiling",
        "sampling points", "sampling series", "sampling draw", "residue", "agreement")},
    **{f"visit {name} --help": f"tersum visit {name} --help" for name in ("plan", "reveal", "run")},
    **{f"ledger {name} --help": f"tersum ledger {name} --help" for name in ("check", "rebuild")},
    **{f"{name}, misuse": f"tersum {name} --nonsense" for name in ("decide", "mix", "doctor")},
}


def words(text):
    return re.findall(r"[^\W\d_]{2,}", text)


@cache
def data_words():
    """Words that the demo and the catalogue bring along as values, and names that are typed and never translated."""
    found = [UNITS, NAMES, *COLUMNS, *STAGES, *LATEST, *COMMANDS, BAD]
    for path in (ROOT / "examples").rglob("*.csv"):
        with path.open(newline="", encoding="utf-8") as file:
            found += [cell for row in csv.reader(file) for cell in row]
    for path in (ROOT / "examples").rglob("*.toml"):
        found += values(tomllib.loads(path.read_text(encoding="utf-8")))
    for path in (ROOT / "src/tersum/catalogue").rglob("*.toml"):
        tables = tomllib.loads(path.read_text(encoding="utf-8"))
        found += [*tables, *values(tables)]
    return frozenset(word for text in found for word in words(text))


def values(table):
    """Every text of a TOML file."""
    if isinstance(table, dict):
        return [text for one in table.values() for text in values(one)]
    if isinstance(table, list):
        return [text for one in table for text in values(one)]
    return [table] if isinstance(table, str) else []


def escaped(text, allowed):
    """Return every plain English word: outside of brackets any, inside those that the locale left unaccented."""
    left = []
    depth = 0
    # A list of commands shows the first words of a help text, cut off by three dots.
    whole = re.sub(r"^(  [a-z]+ +⟦[^⟧\n]*)\.\.\.$", r"\1⟧", text, flags=re.MULTILINE)
    whole = re.sub(r"^  [a-z-]+ +(?=⟦)", "  ", whole, flags=re.MULTILINE)  # the names of commands in such a list
    for piece in re.split(r"([⟦⟧])", without_options(whole)):
        depth += (piece == "⟦") - (piece == "⟧")
        for word in words(piece):
            if word not in allowed and (depth == 0 or ACCENTED & set(word)):
                left.append(word)
    assert depth == 0, "a bracket is not closed: a text was cut"
    return left


def without_options(text):
    """Drop options, upper-case stand-ins, lists of choices, paths, hashes and numbers with their letters."""
    for pattern in (r"--?[a-z][a-z0-9-]*", r"\b[A-Z][A-Z0-9_]+(\.[a-z]+)?\b", r"\[(OPTIONS|ARGS)\]\.*",
                    r"[\w./-]*/[\w./-]+", r"\b[0-9a-f-]{36}\b", r"\b[0-9a-f]{8,}\b", r"\b\d+e[+-]?\d+\b"):
        text = re.sub(pattern, " ", text)
    return text


@pytest.fixture
def desk(tmp_path):
    shutil.copytree(ROOT / "examples", tmp_path / "examples")
    (tmp_path / "bad.csv").write_text(BAD, encoding="utf-8")
    (tmp_path / "bad.toml").write_text('schema = "x"\ncolour = 1\n[[limit]]\nrlu = -1\n', encoding="utf-8")
    (tmp_path / "below.csv").write_text("vehicle,panel,arm,after\n" + "".join(
        f"seat,{n},{arm},{value}\n" for n in range(12) for arm, value in (("a", "<5"), ("b", 20 + n))),
        encoding="utf-8")
    (tmp_path / "frozen.toml").write_text(FROZEN, encoding="utf-8")
    (tmp_path / "unlearnt.toml").write_text(FROZEN.partition("[limit.frozen]")[0], encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize("name", CASES)
def test_no_plain_english_is_left_in_what_a_command_says(desk, name):
    command = CASES[name]
    environment = {**os.environ, "TERSUM_LANG": PSEUDO_LOCALE, "TERSUM_HOME": str(desk / "home"), "COLUMNS": "100",
                   "PATH": f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"}
    done = subprocess.run(["bash", "-c", command], cwd=desk, env=environment, capture_output=True, text=True,
                          timeout=120)
    told = done.stdout + done.stderr
    assert "⟦" in told
    assert done.returncode != 70, told
    keys = KEYS if "bad.toml" in command else FACTS if "ledger check" in command else ""
    allowed = data_words() | set(words(keys)) | {word for part in shlex.split(command) for word in words(part)}
    assert not escaped(told, allowed), told


def test_the_harness_sees_what_escapes():
    assert escaped("⟦Söméthîñg⟧ plain", frozenset()) == ["plain"]
    assert escaped("⟦Söméthîñg: not translated⟧", frozenset()) == ["not", "translated"]
    assert escaped("⟦Söméthîñg: seat --limit 250 RLU⟧", frozenset({"seat", "RLU"})) == []
    with pytest.raises(AssertionError, match="not closed"):
        escaped("⟦Sömé", frozenset())
