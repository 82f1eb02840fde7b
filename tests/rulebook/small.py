"""Small kinds, rules and plans, and a circuit that says what a test wants it to say."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from plancheck.circuit.conditions import Levels, Space, Truth
from plancheck.circuit.facts import NotAssessed
from plancheck.circuit.variation import AS_DRAWN, Variation
from plancheck.finding import Mistake
from plancheck.plan.graph import Branch
from plancheck.plan.kinds import Kinds, load_kinds
from plancheck.plan.model import Device, Plan, Primitive, Signal
from plancheck.plan.resolve import resolve
from plancheck.rulebook.judge import Verdicts, judge
from plancheck.rulebook.load import load_rules
from plancheck.rulebook.rule import Rulebook
from plancheck.source import Source

KINDS = """
kind holder "holds while powered" is a lock {
    terminals + -
    needs     rated <rated-volts: voltage>, <rated-amps: current>
    may have  drop-out <drop-out-volts: voltage>
    may have  spare-parts <spare-parts: count>
    may have  keeps <keeps: latch | nothing at all>
    may have  suppression built in
    always    fails safe
    load      coil + - coil { volts rated-volts; amps rated-amps; drop-out drop-out-volts; pull-in 75 % }
    state     secured when coil energised
}
kind feed "gives power" {
    terminals + -
    needs     output <output-volts: voltage>, <output-amps: current>
    signal    mains "mains of {name}" role mains rests on
    source    main + - alive when mains { volts output-volts; amps output-amps }
}
kind knob "a press breaks" {
    terminals COM NC
    signal    pressed "{name} pressed" role exit
    signal    fire-alarm "fire alarm on" role alarm shared
    contact   COM NC made when not pressed direct { amps 2 A; volts 30 V }
}
kind door "a door" is a door {
    may have  egress <egress: free by lever | sensor release | none>
    may have  locks <locks: lock...>
    may have  button <button: device>
    may have  width <width: length>
}
kind wire "a wire" is a wire {
    may have  size <area: area>
    may have  length <length: length>
}
kind cable "a cable" is a cable {
    may have  length <length: length>
}
"""

PLAN = """
plan "Small"
holder L1 { rated 24 Vdc, 500 mA; drop-out 6 V; keeps latch }
holder L2 { rated 12 Vdc, 1 A }
feed PS1 { output 24 Vdc, 2 A }
knob EB1
door D1 "Rear" { egress sensor release; locks L1, L2; button EB1 }
door D2 { egress none }
"""

SITUATIONS = """
situation fire alarm { alarm on }
situation mains lost { mains off }
"""

TODAY = date(2026, 11, 25)


def kinds() -> Kinds:
    """The small kinds."""
    found, mistakes = load_kinds([Source("kinds.plan", KINDS)])
    assert mistakes == []
    return found


def plan(text: str = PLAN) -> Plan:
    """A plan made of the small kinds."""
    found, mistakes = resolve(Source("small.plan", text), kinds(), lambda name, source: "nothing to use here")
    assert mistakes == []
    return found


def rule_text(body: str, *, name: str = "r", head: str = "", severity: str = "error") -> str:
    """A rule with everything a rule must have, its group being `body`; `head` adds members before it."""
    lines = [line.strip() for line in body.strip().splitlines()]
    have = {line.split()[0] for line in lines}
    lines += [f'{what} "{what} of it"' for what in ("found", "required", "remedy") if what not in have]
    members = [
        'title "A title"',
        f"severity {severity}",
        'basis "common practice, no source"',
        'known limits "None."',
        *[line.strip() for line in head.strip().splitlines()],
        *lines,
        'passes "p" { plan "p" }',
        'fails "f" { plan "f" }',
    ]
    return f"rule {name} {{\n" + "".join(f"    {member}\n" for member in members) + "}\n"


def load(*rules: str) -> tuple[Rulebook, list[Mistake]]:
    """A rulebook of one pack."""
    text = "pack test\n" + SITUATIONS + "".join(rules)
    return load_rules([Source("test.rules", text)], kinds())


def book(*rules: str) -> Rulebook:
    """A rulebook in which nothing is wrong."""
    found, mistakes = load(*rules)
    assert [f"{m.at.text}: {m.headline} {m.found} {m.hint}" for m in mistakes] == []
    return found


MAINS, PRESSED, ALARM = "PS1.mains", "EB1.pressed", "fire-alarm"
SPACE = Space((MAINS, PRESSED, ALARM))
EVERY = 0xFF


def _branch(d: Device, p: Primitive) -> Branch:
    ends = f"{d.name}:{p.a}", f"{d.name}:{p.b}"
    return Branch(f"{d.name}.{p.name}", p.what, d.name, p.name, *ends, p.style, p.guard, p.data, d.at)


class Said:
    """Stands for the facts of a circuit: numbers and truths by part and fact, as a test gives them."""

    def __init__(self, of: Plan, facts: Mapping[str, Levels | Truth | str | float]) -> None:
        self.plan = of
        self.facts = facts
        self.signals: dict[str, Signal] = {s.key: s for d in of.devices.values() for s in d.signals.values()}
        self.varied: list[Variation] = []
        self._branches = [_branch(d, p) for d in of.devices.values() for p in d.primitives]

    def branches(self, what: str | None = None, device: str | None = None) -> list[Branch]:
        """Parts, as the real ones are listed."""
        return [b for b in self._branches if what in (None, b.what) and device in (None, b.device)]

    def role(self, role: str) -> list[str]:
        """Signals of a role."""
        return [s.key for s in self.signals.values() if s.role == role]

    def _said(self, key: str, variation: Variation = AS_DRAWN) -> Levels | Truth | str | float:
        self.varied.append(variation)
        value = self.facts[key]
        if isinstance(value, str):
            raise NotAssessed(value)
        return value

    def volts(self, branch: Branch, variation: Variation = AS_DRAWN) -> object:
        """Volts as given under `L1 volts`."""
        return self._said(f"{branch.device} volts", variation)

    def energised(self, branch: Branch, variation: Variation = AS_DRAWN) -> object:
        """As given under `L1 energised`."""
        return self._said(f"{branch.device} energised", variation)

    def state(self, device: str, name: str, variation: Variation = AS_DRAWN) -> object:
        """As given under `L1 secured`."""
        return self._said(f"{device} {name}", variation)

    def signal(self, device: str, name: str) -> Truth:
        """On where it is on."""
        return on(self.plan.devices[device].signals[name].key)

    def readings(
        self, part: Branch, condition: Mapping[str, bool], variation: Variation = AS_DRAWN
    ) -> list[tuple[str, float]]:
        return [(terminal, 0.0) for terminal in self.path(part, condition, variation)]

    def contacts_in_feed(self, load: Branch) -> list[Branch]:
        return []

    def path(self, branch: Branch, condition: Mapping[str, bool], variation: Variation = AS_DRAWN) -> tuple[str, ...]:
        """Straight through."""
        return (branch.a, branch.b) if all(condition.get(s.key) is not None for s in self.signals.values()) else ()


def on(signal: str, space: Space | None = None) -> Truth:
    """True where a signal is on."""
    space = space or Space((signal,))
    mask = space.on(signal)
    return Truth(space, mask, space.everything & ~mask)


def levels(space: Space, *parts: tuple[int, float]) -> Levels:
    """A number by masks of conditions."""
    assert sum(mask for mask, _ in parts) == space.everything
    return Levels(space, parts)


def judged(rules: Rulebook, facts: Mapping[str, Levels | Truth | str | float], text: str = PLAN) -> Verdicts:
    """What a rulebook says of the small plan in that circuit."""
    return judge(rules, Said(plan(text), facts), TODAY)  # type: ignore[arg-type]
