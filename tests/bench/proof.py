"""The release of 200 locks, in every condition and after every single failure of a contact: engine and Z3 in turn.

Asked of each lock, as drawn and with each wired contact stuck open or welded: can it still have more than its
drop-out volts while the fire alarm is on, or the exit button pressed? The solver of satisfiability modulo theories
has the encoding of `tests.proof.logic`, by Kirchhoff's and Ohm's laws. Both must answer alike.
"""

from __future__ import annotations

import gc
from collections.abc import Callable
from dataclasses import replace
from time import process_time

import z3

from plancheck.circuit.facts import Facts
from plancheck.circuit.failures import STUCK, WELDED, Failures
from plancheck.circuit.variation import AS_DRAWN, Variation
from plancheck.plan.model import Plan
from tests.bench.locks import Lock, locks, plan_of
from tests.circuit.drawn import plan_drawn
from tests.proof.circuits import Part
from tests.proof.logic import Formulas

LOCKS = 200
Question = tuple[int, str, str]
"""Lock, kind of failure (empty: as drawn) and key of the contact."""


def questions(found: list[Lock]) -> list[Question]:
    """All that is asked."""
    asked = []
    for lock in found:
        contacts = [p.key for p in lock.drawn.parts if p.what == "contact"]
        asked += [(lock.number, "", ""), *((lock.number, kind, key) for key in contacts for kind in (STUCK, WELDED))]
    return asked


def by_engine(plan: Plan, found: list[Lock], asked: list[Question]) -> list[bool]:
    """Whether each lock may still hold; from the plan as read on, graph and networks included."""
    facts = Facts(plan)
    failures = Failures(facts.graph, facts.touch, facts.engine, (STUCK, WELDED))
    listed = {(v.failure.kind, v.failure.parts[0]): v for v in failures.all if v.failure}
    by_number = {lock.number: lock for lock in found}
    answers = []
    for number, kind, key in asked:
        variation = listed[kind, key] if kind else AS_DRAWN
        answers.append(may_hold(facts, by_number[number], variation))
    return answers


def may_hold(facts: Facts, lock: Lock, variation: Variation) -> bool:
    """Whether a lock is not surely released in some condition with alarm or button on."""
    held = facts.state(lock.name("L"), "secured", variation)
    space = held.space
    given = 0
    for signal in lock.release:
        given |= space.on(signal) if signal in space.signals else space.everything
    return bool(given & ~held.no & space.everything)


class Plain(Formulas):
    """A circuit whose contacts are made when the tests' own list of parts says so."""

    def _made(self, part: Part) -> z3.BoolRef:
        return z3.BoolVal(True) if part.when is None else part.when(self.on)


class Failing(Plain):
    """A circuit of which any contact may be stuck or welded, as Booleans that a question sets: for many questions."""

    def _made(self, part: Part) -> z3.BoolRef:
        made = super()._made(part)
        if part.what == "source":
            return made
        stuck, welded = (z3.Bool(f"{kind} {part.key}") for kind in (STUCK, WELDED))
        return z3.Or(z3.And(made, z3.Not(stuck)), welded)


def ask(formulas: Formulas, lock: Lock, *given: z3.BoolRef) -> bool:
    """Whether the lock can have more than its drop-out volts in some condition with alarm or button on."""
    coil = lock.coil
    volts = formulas.volts[coil.a] - formulas.volts[coil.b]
    formulas.solver.push()
    formulas.solver.add(z3.Or(volts > coil.off_at, volts < -coil.off_at), *given)
    formulas.solver.add(z3.Or([formulas.on[s] for s in lock.release]))
    verdict = formulas.solver.check()
    formulas.solver.pop()
    assert verdict != z3.unknown
    return bool(verdict == z3.sat)


def one_by_one(found: list[Lock], asked: list[Question]) -> list[bool]:
    """Z3 with a circuit of its own for each question, drawn with the failure in it."""
    by_number = {lock.number: lock for lock in found}
    answers = []
    for number, kind, key in asked:
        lock = by_number[number]
        parts = [p for p in lock.drawn.parts if kind != STUCK or p.key != key]
        parts = [replace(p, when=None) if kind == WELDED and p.key == key else p for p in parts]
        answers.append(ask(Plain(replace(lock.drawn, parts=parts)), lock))
    return answers


def kept_open(found: list[Lock], asked: list[Question]) -> list[bool]:
    """Z3 with one circuit for all questions about a lock, so that it keeps what it has learnt."""
    by_number = {lock.number: lock for lock in found}
    answers: list[bool] = []
    formulas: dict[int, Failing] = {}
    for number, kind, key in asked:
        lock = by_number[number]
        if number not in formulas:
            formulas = {number: Failing(lock.drawn)}
        may_fail = [(k, p.key) for p in lock.drawn.parts if p.what == "contact" for k in (STUCK, WELDED)]
        booleans = {one: z3.Bool(f"{one[0]} {one[1]}") for one in may_fail}
        given = [boolean if one == (kind, key) else z3.Not(boolean) for one, boolean in booleans.items()]
        answers.append(ask(formulas[number], lock, *given))
    return answers


def timed(work: Callable[[], list[bool]]) -> tuple[float, list[bool]]:
    """Processor seconds and answers; the collector rests, as it does in a review."""
    gc.collect()
    gc.disable()
    started = process_time()
    answers = work()
    taken = process_time() - started
    gc.enable()
    return taken, answers


def _ratio(what: str, solver: float, engine: float) -> str:
    return f"{what:<58} {solver * 1e3:8.0f} ms / {engine * 1e3:6.0f} ms = {solver / engine:5.1f}"


def bench(least: float = 50.0) -> bool:
    """Print the ratios; True when the engine is at least so many times faster, and all say the same."""
    found = locks(LOCKS)
    plan, asked = plan_drawn(plan_of(found)), questions(found)
    engine, answers = min((timed(lambda: by_engine(plan, found, asked)) for _ in range(3)), key=lambda taken: taken[0])
    fresh, expected = timed(lambda: one_by_one(found, asked))
    learning, expected_too = timed(lambda: kept_open(found, asked))
    differing = [q for q, *said in zip(asked, answers, expected, expected_too, strict=True) if len(set(said)) > 1]
    for number, kind, key in differing[:5]:
        print(f"lock {number}, {kind or 'as drawn'} {key}: engine and solver differ")
    kept = fresh >= least * engine and not differing
    verdict = "ok" if kept else "DIFFERENT" if differing else "TOO SLOW"
    print(f"{LOCKS} locks, {len(asked)} questions, of which {sum(answers)} find a lock that may hold")
    print(_ratio("  Z3, a circuit for each question / engine", fresh, engine), f"(at least {least:g}) {verdict}")
    print(_ratio("  Z3, a circuit for each lock and its failures / engine", learning, engine), flush=True)
    return kept


if __name__ == "__main__":
    raise SystemExit(0 if bench() else 1)
