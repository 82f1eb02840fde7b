"""What loading all packs costs, from cold but after a first run: the shipped ones, and with a pack of 30 rules.

A process of its own each time. Not counted is what a review imports in any case, and Python's own start. The floor
is to cut the same shipped texts into words: it tells how fast the machine is at the time, and grows with the library.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path

from plancheck.library.pack_shelf import SETTING

ROOT = Path(__file__).resolve().parents[2]
RULES = 30
MOST_MS = 60.0

LOADING = """
import gc, re, sys, time
gc.disable()  # as the command does
import plancheck.review.review, plancheck.cli.review_command
import importlib, pkgutil
import plancheck.plan, plancheck.rulebook
for package in (plancheck.plan, plancheck.rulebook):
    for module in pkgutil.iter_modules(package.__path__, package.__name__ + "."):
        importlib.import_module(module.name)
from plancheck.library.load import load_library
from plancheck.shipped import rules_folder

def floor():
    began = time.process_time()
    for path in sorted(rules_folder().rglob("*.*")):
        re.findall(r'"[^"\\n]*"|[\\w.-]+|\\S', path.read_text(encoding="utf-8"))
    return time.process_time() - began

words = floor()
began = time.process_time()
library = load_library(sys.argv[1:])
took = time.process_time() - began
assert not library.broken, library.broken
print(took, min(words, floor()), len(library.rulebook.rules))
"""

RULE = """
rule gauge-of-run-{number} {{
    title     "Runs longer than {number} ft are pulled in 16 AWG or thicker"
    severity  warning
    basis     "house rule: one gauge in every van" grade common practice
    known limits "Looks at the gauge that the cable states, not at what it feeds."
    limit     thinnest = 16 AWG  source "house rule"
    limit     shortest = {number} ft  source "house rule"

    for each  cable C
    where     C.length is given and C.length > shortest
    require   C.area >= thinnest
    headline  "{{C}} is thinner than the house allows"
    found     "{{C}}, {{C.length}} long, has conductors of {{C.area}}"
    required  "{{thinnest}} or more, which is 16 AWG, beyond {{shortest}}"
    evidence  "area of a conductor" is C.area against at least thinnest
    remedy    "Pull 16 AWG."

    passes "16 AWG" {{
        cable C1 {{ conductors 2 of 16 AWG; length 400 ft }}
    }}
    fails "18 AWG" {{
        cable C1 {{ conductors 2 of 18 AWG; length 400 ft }}
    }}
}}
"""


def write_pack(folder: Path) -> None:
    """A pack of rules that ask for different lengths."""
    rules = "".join(RULE.format(number=number) for number in range(1, RULES + 1))
    (folder / "gauges.rules").write_text(f'pack bench "Rules to be loaded"\n{rules}', encoding="utf-8")


def loaded(packs: list[str], kept: Path, times: int) -> tuple[float, float, int]:
    """Least milliseconds of loading and of the floor, and how many rules were loaded; a first run goes before."""
    # The program's own bytecode is kept, as it is wherever the program is installed.
    environment = {**os.environ, SETTING: str(kept), "PYTHONPYCACHEPREFIX": str(kept.parent / "bytecode")}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    told = []
    for _ in range(times + 1):
        done = subprocess.run(
            [sys.executable, "-c", LOADING, *packs],
            cwd=ROOT,
            env=environment,
            capture_output=True,
            text=True,
            check=True,
        )
        told.append([float(figure) for figure in done.stdout.split()])
    return min(t[0] for t in told[1:]) * 1e3, min(t[1] for t in told[1:]) * 1e3, int(told[0][2])


def bench() -> bool:
    """Both benches; True when both limits are kept."""
    kept_all = True
    with tempfile.TemporaryDirectory() as place:
        pack = Path(place, "pack")
        pack.mkdir()
        write_pack(pack)
        for what, packs in (("shipped packs", []), (f"shipped packs and one of {RULES} rules", [str(pack)])):
            work, floor, rules = loaded(packs, Path(place, "kept"), 9)
            verdict = "ok" if work <= MOST_MS else "TOO SLOW"
            said = f"loading {what}: {rules} rules / cutting the shipped texts into words"
            figures = f"{work:8.1f} ms / {floor:6.1f} ms = {work / floor:5.2f}"
            print(f"{said:<90} {figures} (at most {MOST_MS:g} ms) {verdict}", flush=True)
            kept_all = kept_all and work <= MOST_MS
    return kept_all


if __name__ == "__main__":
    sys.exit(0 if bench() else 1)
