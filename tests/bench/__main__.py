"""`python -m tests.bench`: what a review costs, as ratios to floors measured in the same run.

Every figure is the least processor time of several runs of a fresh process, floor and work in turn: on a machine
with other things to do the clock on the wall says little. With `profile` it prints where a large review's time
goes; with `editor`, what typing costs before the language server, by the clock on the wall; with `handed-over`, what a
submittal and a comparison cost; with `batch`, what many plans cost on one core and on all.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from plancheck.shipped import grammar_file
from tests.bench import cones, packs, proof
from tests.bench.doors import building

ROOT = Path(__file__).resolve().parents[2]
DOORS = 1_000

BARE_PARSE = """
import sys
from lark import Lark
grammar = Lark(open(sys.argv[1], encoding="utf-8").read(), parser="lalr", start="file", propagate_positions=True)
grammar.parse(open(sys.argv[2], encoding="utf-8").read())
"""

WITH_SOME = """
import sys
from dataclasses import replace
from plancheck.cli import review_command
from plancheck.cli.main import main
whole = review_command.load_library

def with_some(*told):
    library = whole(*told)
    rules = [r for r in library.rulebook.rules if {wanted}]
    assert 0 < len(rules) < len(library.rulebook.rules)
    return replace(library, rulebook=library.rulebook.with_rules(rules))

review_command.load_library = with_some
sys.exit(main(["review", sys.argv[1]]))
"""
WITHOUT_FAILURES = WITH_SOME.format(wanted="'after any single failure' not in r.whole_at.text")
"""A review by all rules but those that ask what single failures do."""
FIVE = (
    "egress/fire-alarm-release",
    "egress/fail-safe-where-needed",
    "electrical/coil-suppression",
    "electrical/supply-headroom",
    "gate/safety-input-untouched",
)
BY_FIVE = WITH_SOME.format(wanted=f"r.id in {FIVE}")
"""A review by five rules alone."""


@dataclass(frozen=True, slots=True)
class Cost:
    """Processor seconds and greatest memory in MB of one process."""

    seconds: float
    megabytes: float


def cost(arguments: Sequence[str | Path]) -> Cost:
    """What one fresh interpreter takes. Its exit status must be 0: a review that finds something is no bench."""
    # Bytecode is kept, as wherever the program is used; the least of several runs is one that found it.
    env = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    started = subprocess.Popen(
        [sys.executable, *map(str, arguments)],
        cwd=ROOT,
        stdout=subprocess.DEVNULL,
        env={**env, "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"},
    )
    _, status, used = os.wait4(started.pid, 0)
    started.returncode = os.waitstatus_to_exitcode(status)
    if started.returncode:
        raise SystemExit(f"{' '.join(map(str, arguments))}: exit status {started.returncode}")
    return Cost(used.ru_utime + used.ru_stime, used.ru_maxrss / 1024)


def measured(work: Sequence[str | Path], floor: Sequence[str | Path], rounds: int) -> tuple[Cost, Cost]:
    """The least cost of work and of floor, run in turn."""
    pairs = [(cost(work), cost(floor)) for _ in range(rounds)]
    return min((p[0] for p in pairs), key=_seconds), min((p[1] for p in pairs), key=_seconds)


def _seconds(found: Cost) -> float:
    return found.seconds


def tell(what: str, work: Cost, floor: Cost, most: float) -> bool:
    """Print one ratio; True when it is within the limit."""
    ratio = work.seconds / floor.seconds
    verdict = "ok" if ratio <= most else "TOO SLOW"
    costs = f"{work.seconds * 1e3:8.0f} ms / {floor.seconds * 1e3:6.0f} ms"
    print(f"{what:<58} {costs} = {ratio:5.2f} (at most {most:g}) {verdict}", flush=True)
    return ratio <= most


def bench(folder: Path) -> bool:
    """All benches; True when every limit is kept."""
    one, half, whole = folder / "one.plan", folder / "half.plan", folder / "whole.plan"
    for path, doors in ((one, 1), (half, DOORS // 2), (whole, DOORS)):
        path.write_text(building(doors), encoding="utf-8")
    review = ["-m", "plancheck", "review"]
    kept = [
        tell("--help / python -c pass", *measured(["-m", "plancheck", "--help"], ["-c", "pass"], 9), 4.0),
        tell(
            "one door, from cold / importing lark, pydantic, networkx",
            *measured([*review, one], ["-c", "import lark, pydantic, networkx"], 5),
            3.0,
        ),
    ]
    plain, parse = measured(["-c", WITHOUT_FAILURES, whole], ["-c", BARE_PARSE, grammar_file("plan.lark"), whole], 3)
    kept.append(tell(f"{DOORS} doors, failures left out / bare parse of the same text", plain, parse, 3.0))
    kept.append(tell_memory(f"{DOORS} doors, failures left out", plain, 500.0))
    large, smaller = measured([*review, whole], [*review, half], 3)
    kept.append(tell(f"{DOORS} doors / {DOORS // 2} doors", large, smaller, 2.2))
    kept.append(tell(f"{DOORS} doors with all single failures / without", large, plain, 3.0))
    kept.append(tell_memory(f"{DOORS} doors with all single failures", large, 1_000.0))
    by_five, _ = measured(["-c", BY_FIVE, whole], ["-c", "pass"], 3)
    ratio = large.seconds / by_five.seconds
    print(f"{DOORS} doors, whole library / five rules: {ratio:.2f}, all single failures in it (for information)")
    return all([*kept, samples(), packs.bench(), cones.bench(), proof.bench()])


def samples() -> bool:
    """The sound samples, each reviewed by itself as its author does: the whole library beside five rules."""
    paths = sorted(path for path in (ROOT / "samples").glob("*.plan") if not path.stem.endswith("-faulty"))
    pairs = [measured(["-m", "plancheck", "review", path], ["-c", BY_FIVE, path], 3) for path in paths]
    whole, five = (Cost(sum(c.seconds for c in costs), 0.0) for costs in zip(*pairs, strict=True))
    return tell(f"{len(paths)} samples one by one, whole library / five rules", whole, five, 1.5)


def tell_memory(what: str, work: Cost, most: float) -> bool:
    """Print the greatest memory; True when it is within the limit, in MB."""
    within = work.megabytes < most
    print(f"{what}: {work.megabytes:.0f} MB at most (under {most:g}) {'ok' if within else 'TOO LARGE'}", flush=True)
    return within


def profile(folder: Path) -> None:
    """Where the time of a large review goes, by the function and all that it calls."""
    from cProfile import Profile
    from pstats import Stats

    from plancheck.cli.main import main

    plan = folder / "whole.plan"
    plan.write_text(building(DOORS), encoding="utf-8")
    watch = Profile()
    watch.runcall(main, ["review", str(plan), "--to", str(folder / "letter.txt")])
    Stats(watch).sort_stats("cumulative").print_stats("plancheck", 60)


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as place:
        if sys.argv[1:] == ["profile"]:
            profile(Path(place))
        elif sys.argv[1:] == ["editor"]:
            from tests.bench import editor

            sys.exit(0 if editor.bench() else 1)
        elif sys.argv[1:] == ["handed-over"]:
            from tests.bench import handed_over

            sys.exit(0 if handed_over.bench() else 1)
        elif sys.argv[1:] == ["batch"]:
            from tests.bench import batch

            sys.exit(0 if batch.bench() else 1)
        else:
            sys.exit(0 if bench(Path(place)) else 1)
