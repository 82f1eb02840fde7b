"""Cones of twenty signals, the most that is worked out, against a bare import of networkx: series, parallel, ladder."""

from __future__ import annotations

import gc
import subprocess
import sys
from time import process_time

from plancheck.circuit.facts import Facts
from plancheck.plan.model import Plan
from tests.circuit.cones import ladder, parallel, series
from tests.circuit.drawn import plan_drawn

IMPORT = "from time import process_time as t; a = t(); import networkx; print(t() - a)"


def proof(plan: Plan) -> float:
    """Seconds from a plan as read to what its lock does in all conditions; the collector rests, as in a review."""
    gc.collect()
    gc.disable()
    started = process_time()
    held = Facts(plan).state("ML1", "secured")
    taken = process_time() - started
    gc.enable()
    assert len(held.space.signals) == 20
    assert not held.maybe
    return taken


def bench() -> bool:
    """Print the ratios; True when every cone takes less than the import."""
    floor = min(float(subprocess.check_output([sys.executable, "-c", IMPORT])) for _ in range(5))
    kept = True
    for name, text in (("series", series(19)), ("parallel", parallel(19)), ("ladder", ladder(9, 1))):
        plan = plan_drawn(text)
        taken = min(proof(plan) for _ in range(5))
        verdict = "ok" if taken < floor else "TOO SLOW"
        costs = f"{taken * 1e3:8.0f} ms / {floor * 1e3:6.0f} ms"
        what = f"20 signals in {name} / importing networkx"
        print(f"{what:<58} {costs} = {taken / floor:5.2f} (at most 1) {verdict}", flush=True)
        kept &= taken < floor
    return kept


if __name__ == "__main__":
    raise SystemExit(0 if bench() else 1)
