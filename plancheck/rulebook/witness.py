"""The condition that a finding shows: the worst, else the one nearest to rest; and its wording."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from plancheck.circuit.conditions import HELD, Levels, Space

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from plancheck.circuit.facts import Facts
    from plancheck.rulebook.scope import Scope, Witness

AT_REST = "in normal condition"
NAMED = 4
"""Failures that one sentence names; the rest is counted."""
_SAME = 1e-6
"""Relative difference below which two numbers are equally bad."""


def rests_on(scope: Scope, signal: str) -> bool:
    """Whether a signal is on at rest; parts that only may act do not."""
    known = scope.inventory.facts.signals.get(signal)
    return known is not None and known.rests_on


def choose(mask: int, space: Space, scope: Scope, margin: Levels | None) -> dict[str, bool]:
    """One condition of a mask: of the worst margin, then with the fewest signals away from rest, then the first."""
    if margin is not None:
        mask = _worst(mask, margin) or mask
    return space.condition(_nearest_to_rest(mask, space, scope))


def _worst(mask: int, margin: Levels) -> int:
    parts = [(part, value) for part, value in margin.within(mask) if value == value]
    if not parts:
        return 0
    top = max(value for _, value in parts)
    return sum(part for part, value in parts if top - value <= _SAME * max(abs(top), 1e-3))


def _nearest_to_rest(mask: int, space: Space, scope: Scope) -> int:
    """Turn each signal that rests on about, so that rest is condition 0 and distance is the number of bits."""
    rest = sum(1 << i for i, signal in enumerate(space.signals) if rests_on(scope, signal))
    for i, signal in enumerate(space.signals):
        if rest >> i & 1:
            on, run = space.on(signal), 1 << i
            mask = (mask & on) >> run | (mask & ~on) << run
    for weight in range(len(space.signals) + 1):
        if near := mask & _of_weight(len(space.signals), weight):
            return ((near & -near).bit_length() - 1) ^ rest
    return rest


@cache
def _of_weight(signals: int, weight: int) -> int:
    """Mask of the conditions with that many signals on."""
    if weight < 0 or weight > signals:
        return 0
    if signals == 0:
        return 1
    return _of_weight(signals - 1, weight) | _of_weight(signals - 1, weight - 1) << (1 << (signals - 1))


def worded(scope: Scope, witness: Witness) -> str:
    """The condition in words: the signals away from rest."""
    said = [*away_from_rest(scope.inventory.facts, witness.condition), *power_lost(witness)]
    absent = list(_without_effect(scope, witness))
    words = listed(said) if said else AT_REST
    return words + (f" ({', '.join(absent)})" if absent else "")


def power_lost(witness: Witness) -> Iterator[str]:
    """The devices that have no power inside, in words."""
    yield from (f"power to {device} lost" for device in sorted(witness.variation.dead))


def _without_effect(scope: Scope, witness: Witness) -> Iterator[str]:
    """What the situations set and the condition does not tell: the plan has none of it, or none that acts here."""
    for role in dict.fromkeys(s.role.text for each in witness.situations for s in each.settings if s.role is not None):
        keys = scope.inventory.facts.role(role)
        if not keys:
            yield f"no {role} in the plan"
        elif not any(key in witness.condition for key in keys):
            yield f"no {role} acts on it"


def away_from_rest(facts: Facts, condition: Mapping[str, bool]) -> Iterator[str]:
    """The signals that are not at rest, in words."""
    for key, on in condition.items():
        signal = facts.signals.get(key)
        if on is not (signal is not None and signal.rests_on):
            yield in_words(facts, key, on)


def in_words(facts: Facts, key: str, on: bool) -> str:
    """A signal as it stands, in words; what is in no plan, such as a contact that electronics move, by its key."""
    signal = facts.signals.get(key)
    if signal is not None:
        says = signal.says or key
        return says if on else f"{says} off" if signal.rests_on else f"no longer {says}"
    held = key.removesuffix(HELD)
    if held != key:
        device = held.partition(".")[0]
        return f"{device} still held in from before" if on else f"{device} not held in from before"
    return key if on else f"not: {key}"


def failure(scope: Scope, witness: Witness) -> str:
    """The failure shown."""
    shown = witness.variation.failure
    return shown.what if shown is not None else "nothing has to fail"


def failures(scope: Scope, witness: Witness) -> str:
    """How many single failures refute the demand, of how many, and the first of them by name."""
    if witness.variation.failure is None:
        return "it is so with nothing failed"
    names = [each.what for each in witness.failures[:NAMED]]
    if len(witness.failures) > NAMED:
        names.append(f"and {len(witness.failures) - NAMED} more")
    count = f"{len(witness.failures)} of {witness.looked_at} single failures that act on it"
    return f"{count}: {'; '.join(names)}" if names else count


def failures_count(scope: Scope, witness: Witness) -> str:
    """How many single failures refute the demand."""
    return str(len(witness.failures))


def events(scope: Scope, witness: Witness) -> tuple[str, ...]:
    """What has to happen, one thing after another, where a relay is held in from before; else nothing."""
    facts = scope.inventory.facts
    for signal, on in witness.condition.items():
        coil = facts.graph.by_key.get(signal.removesuffix(HELD)) if signal.endswith(HELD) and on else None
        if coil is not None:
            led = facts.events(coil, witness.condition, witness.variation)
            # What the coil does not feel comes last: it may change at any time.
            last = dict(led)
            others = {k: v for k, v in witness.condition.items() if not k.endswith(HELD) and last.get(k) is not v}
            return (*(in_words(facts, key, state) for key, state in led), *away_from_rest(facts, others))
    return ()


def listed(words: Sequence[str], joint: str = "and") -> str:
    """Words in a row."""
    return f"{', '.join(words[:-1])} {joint} {words[-1]}" if len(words) > 1 else "".join(words)
