"""A folder of many plans: one process beside as many as there are cores, by the clock and in processor time.

`python -m tests.bench batch`. The sound samples are laid side by side so often that starting hardly counts. The clock
is the point here, so on a machine with other things to do the first ratio says little; the second does all the same.
"""

from __future__ import annotations

import shutil
import tempfile
import time
from pathlib import Path

from plancheck.cli.batch import cores
from tests.bench.__main__ import ROOT, Cost, cost, tell, tell_memory

COPIES = 12
ROUNDS = 3
LEAST_OF_CORES = 0.7
"""How many times faster it must be at least, to each core."""
MOST_TIMES, MOST_MEGABYTES = 1.25, 300.0


def write_plans(folder: Path) -> int:
    """The sound samples again and again, each time in a folder of its own; how many plans that is."""
    sound = [path for path in sorted((ROOT / "samples").glob("*.plan")) if not path.stem.endswith("-faulty")]
    for number in range(COPIES):
        here = folder / f"job-{number:02}"
        shutil.copytree(ROOT / "samples" / "typicals", here / "typicals")
        for path in sound:
            shutil.copy(path, here)
    return COPIES * len(sound)


def timed(folder: Path, processes: int) -> tuple[float, Cost]:
    """Seconds by the clock, and what the processes took together."""
    began = time.perf_counter()
    taken = cost(["-m", "plancheck", "review", folder, "--processes", str(processes)])
    return time.perf_counter() - began, taken


def bench() -> bool:
    """True when every limit is kept."""
    many = cores()
    if many < 2:
        print("NOT RUN: one core alone, on which nothing runs side by side")
        return True
    with tempfile.TemporaryDirectory() as place:
        plans = write_plans(Path(place))
        rounds = [(timed(Path(place), 1), timed(Path(place), many)) for _ in range(ROUNDS)]
    (alone, one), (together, all_of_them) = (
        (min(clock for clock, _ in taken), min((used for _, used in taken), key=lambda used: used.seconds))
        for taken in zip(*rounds, strict=True)
    )
    least = LEAST_OF_CORES * many
    verdict = "ok" if alone / together >= least else "TOO SLOW"
    what = f"{plans} plans, 1 process / {many} processes on {many} cores, by the clock"
    costs = f"{alone * 1e3:8.0f} ms / {together * 1e3:6.0f} ms"
    print(f"{what:<58} {costs} = {alone / together:5.2f} (at least {least:g}) {verdict}", flush=True)
    kept = [
        alone / together >= least,
        tell(f"{plans} plans, {many} processes / 1 process", all_of_them, one, MOST_TIMES),
        tell_memory(f"{plans} plans, the largest process", max(one, all_of_them, key=_size), MOST_MEGABYTES),
    ]
    return all(kept)


def _size(taken: Cost) -> float:
    return taken.megabytes


if __name__ == "__main__":
    raise SystemExit(0 if bench() else 1)
