"""The circuit of a page against the engine: every state, and the volts of every terminal, in conditions at random.

The two share no code: one is Python with numpy, the other the page's script. Where the script says that it does not
know, nothing is compared; how often that may be is asserted.
"""

from __future__ import annotations

from pathlib import Path
from random import Random
from typing import Any

import pytest

from plancheck.circuit.facts import Facts
from plancheck.circuit.replay import Replay
from plancheck.circuit.scene import Scene, scene
from plancheck.circuit.variation import AS_DRAWN, Failure, Variation
from plancheck.render.submittal.circuit_model import CircuitModel, circuit_model
from plancheck.shipped import rules_folder
from tests.browser.conftest import Opened
from tests.generated import generated_plan
from tests.render.works import SAMPLES, document_of, name_of

SCRIPT = rules_folder().parent / "plancheck" / "render" / "submittal" / "circuit.js"

ASK = """([model, cases]) => {
    const circuit = new Circuit(model);
    return cases.map(([signals, failure]) => {
        const found = circuit.scene(signals, failure);
        return {on: found.on, made: found.made, blown: found.blown.length,
                volts: model.terminals.map((_, i) => found.volts(i) ?? null)};
    });
}"""

CASES = 40


def _settings(facts: Facts, rng: Random) -> dict[str, bool]:
    return {key: signal.rests_on ^ (rng.random() < 0.3) for key, signal in facts.signals.items()}


def _seen(facts: Facts, setting: dict[str, bool], failure: Failure | None) -> Scene:
    replay = Replay(facts.engine, facts.signals)
    replay.change({key: on for key, on in setting.items() if on is not facts.signals[key].rests_on})
    return scene(facts, replay.condition, Variation(failure=failure) if failure else AS_DRAWN)


def _told(page: Any, facts: Facts, cases: list[tuple[dict[str, bool], Failure | None]]) -> tuple[CircuitModel, Any]:
    model = circuit_model(facts, facts.graph.branches, list(facts.plan.devices.values()))
    asked = [
        [[setting[key] for key in model.signals], model.failure(failure) if failure else None]
        for setting, failure in cases
    ]
    return model, page.evaluate(ASK, [model.data, asked])


def _states(seen: Scene, model: CircuitModel, told: Any) -> tuple[list[str], int, int]:
    """Where both know and do not agree; how often the page does not know what the engine knows; of how many."""
    wrong, unsure, every = [], 0, 0
    for says, known in (("on", seen.on), ("made", seen.made)):
        for key, state in known.items():
            if state is None:
                continue
            every += 1
            here = told[says][model.parts[key]]
            unsure += here is None
            if here is not None and here is not state:
                wrong.append(f"{key} {says}: engine {state}, page {here}")
    return wrong, unsure, every


def _volts(seen: Scene, model: CircuitModel, told: Any) -> list[str]:
    wrong = []
    for terminal, volts in seen.volts.items():
        here = told["volts"][model.terminals[terminal]]
        # What has no common reference with anything: the engine says 0, a page nothing.
        near = abs(volts) < 1e-6 if here is None else abs(here - volts) <= 2e-3 * max(1.0, abs(volts))
        if terminal not in seen.unknown and not near:
            wrong.append(f"{terminal}: engine {volts}, page {here}")
    return wrong


@pytest.mark.parametrize("path", SAMPLES, ids=name_of)
def test_as_drawn(path: Path, opened: Opened) -> None:
    facts, rng = document_of(path).works.facts, Random(path.stem)
    page = opened()
    page.add_script_tag(path=SCRIPT)
    cases = [(_settings(facts, rng), None) for _ in range(CASES)]
    model, told = _told(page, facts, cases)
    for (setting, _), here in zip(cases, told, strict=True):
        seen = _seen(facts, setting, None)
        wrong, unsure, _ = _states(seen, model, here)
        assert (wrong, unsure, _volts(seen, model, here)) == ([], 0, []), setting


@pytest.mark.parametrize("path", SAMPLES, ids=name_of)
def test_after_single_failures(path: Path, opened: Opened) -> None:
    """Where a protector opens, the page shows the circuit after that, the engine what it does to others: no check."""
    facts, rng = document_of(path).works.facts, Random(path.stem)
    page = opened()
    page.add_script_tag(path=SCRIPT)
    failures = [variation.failure for variation in facts.failures.all]
    cases = [(_settings(facts, rng), rng.choice(failures)) for _ in range(CASES)]
    model, told = _told(page, facts, cases)
    unsure = every = 0
    for (setting, failure), here in zip(cases, told, strict=True):
        if not here["blown"]:
            wrong, some, of = _states(_seen(facts, setting, failure), model, here)
            assert wrong == [], (failure, setting)
            unsure, every = unsure + some, every + of
    assert unsure <= every / 20


@pytest.mark.parametrize("seed", range(60))
def test_made_up_circuits(seed: int, opened: Opened) -> None:
    """Bridges, diodes, several supplies, relays: what no sample would draw."""
    rng = Random(seed)
    facts = Facts(generated_plan(rng))
    page = opened()
    page.add_script_tag(path=SCRIPT)
    cases = [(_settings(facts, rng), None) for _ in range(12)]
    model, told = _told(page, facts, cases)
    for (setting, _), here in zip(cases, told, strict=True):
        wrong, _, _ = _states(_seen(facts, setting, None), model, here)
        assert wrong == [], setting
