"""Generated locks of twelve signals each, no two of one shape: as the text of one plan, and as lists of parts.

Mains, a fire alarm, an exit button and nine more buttons act on every lock. Contacts in series and in parallel feed
it and one or two relays, whose contacts stand in its feed again; the lead to the lock, and at times a run between
contacts, has resistance. Of most locks alarm and exit button cut the whole feed; of some only a branch of it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from random import Random

from tests.proof.circuits import OHM_METRES, Drawing, Part, When, off, on

SIGNALS = 12
SOUND = 0.7
"""How many of the locks alarm and exit button truly cut off, about."""


@dataclass(slots=True)
class Lock:
    """One lock: `drawn` is all of it but the ambient, `shape` its tree of contacts without names."""

    number: int
    drawn: Drawing
    shape: str = ""

    @property
    def coil(self) -> Part:
        """The coil that holds the door."""
        return next(p for p in self.drawn.parts if p.key == f"{self.name('L')}.coil")

    @property
    def release(self) -> tuple[str, str]:
        """The signals each of which must let go of the lock."""
        return "alarm", f"{self.name('EB')}.pressed"

    def name(self, device: str) -> str:
        """A device's name in the plan of all."""
        return f"{device}-{self.number}"


def locks(count: int) -> list[Lock]:
    """So many, each of a shape of its own."""
    found: dict[str, Lock] = {}
    seed = 0
    while len(found) < count:
        lock = _Pen(len(found) + 1, seed).lock
        found.setdefault(lock.shape, lock)
        seed += 1
    return list(found.values())


def plan_of(found: list[Lock]) -> str:
    """The plan that they all stand in."""
    return "\n".join(["ambient 20 degC to 20 degC", *(line for lock in found for line in lock.drawn.lines), ""])


@dataclass(slots=True)
class _Way:
    """A contact yet to be placed: its terminals, and when it is made."""

    a: str
    b: str
    when: When
    side: str


@dataclass(slots=True)
class _Pen:
    number: int
    seed: int
    lock: Lock = field(init=False)

    def __post_init__(self) -> None:
        self.lock = Lock(self.number, Drawing(self.seed))
        rng, name, drawn = Random(self.seed), self.lock.name, self.lock.drawn
        supply = name("PS")
        drawn.lines.append(f'supply {supply} "24 V" {{ output 24 Vdc, 5 A }}')
        drawn.signals += [f"{supply}.mains", "alarm"]
        drawn.parts.append(
            Part(
                f"{supply}.main", "source", f"{supply}:+", f"{supply}:-", when=on(f"{supply}.mains"), least=24, most=24
            )
        )
        drawn.lines.append(f"fire-alarm-relay {name('FA')} {{ poles 1 }}")
        must = [_Way(f"{name('FA')}:COM", f"{name('FA')}:NC", off("alarm"), "NC"), self._button("EB", rng, "NC")]
        others = [self._button(f"B{i}", rng, rng.choice(["NO", "NC"])) for i in range(SIGNALS - len(drawn.signals))]
        rng.shuffle(others)
        for i in range(rng.choice([1, 1, 2])):
            driven = [others.pop() for _ in range(rng.choice([2, 3]))]
            others.append(self._relay(f"K{i}", driven, rng))
        end = self._feed(must, others, rng)
        self._coil("L", end, "+", "-", rng.choice([120, 240, 500]), 6.0)
        drawn.lines.append(f"magnetic-lock {name('L')} {{ rated 24 Vdc, {self._amps:g} mA }}")
        drawn.secured_when_on[name("L")] = True

    _amps: float = 0.0

    def _button(self, device: str, rng: Random, side: str) -> _Way:
        name = self.lock.name(device)
        self.lock.drawn.lines.append(f"exit-button {name} {{ holds 30 s }}")
        signal = f"{name}.pressed"
        self.lock.drawn.signals.append(signal)
        return _Way(f"{name}:COM", f"{name}:{side}", on(signal) if side == "NO" else off(signal), side)

    def _relay(self, device: str, driven: list[_Way], rng: Random) -> _Way:
        name, drawn = self.lock.name(device), self.lock.drawn
        end = self._tree(driven, self._plus, rng)
        self._coil(device, end, "A1", "A2", 50, 2.4)
        drawn.lines.append(f"relay {name} {{ coil 24 Vdc, 50 mA; poles 1 }}")
        drawn.relays.append(name)
        side = rng.choice(["NO", "NC"])
        return _Way(f"{name}:COM", f"{name}:{side}", on(name) if side == "NO" else off(name), side)

    @property
    def _plus(self) -> str:
        return f"{self.lock.name('PS')}:+"

    def _feed(self, must: list[_Way], others: list[_Way], rng: Random) -> str:
        """Alarm and exit button before all the others, or among them; the terminal where it ends."""
        if rng.random() >= SOUND:
            return self._tree(_shuffled([*must, *others], rng), self._plus, rng)
        start = self._plus
        for way in must:
            start = self._contact(way, start)
        return self._tree(others, start, rng)

    def _tree(self, ways: list[_Way], start: str, rng: Random) -> str:
        """Contacts in series and in parallel from a terminal on; the terminal where they end."""
        if len(ways) == 1:
            return self._contact(ways[0], start)
        cut = rng.randint(1, len(ways) - 1)
        parallel = rng.random() < 0.5
        self.lock.shape += "(" if parallel else "["
        middle = self._tree(ways[:cut], start, rng)
        if parallel:
            other = self._tree(ways[cut:], start, rng)
            self._wire(middle, other)
        else:
            other = self._tree(ways[cut:], middle, rng)
        self.lock.shape += ")" if parallel else "]"
        return other

    def _contact(self, way: _Way, start: str) -> str:
        self._wire(start, way.a)
        device, _, common = way.a.partition(":")
        self.lock.drawn.parts.append(Part(f"{device}.{common}-{way.side}", "contact", way.a, way.b, when=way.when))
        self.lock.shape += way.b.partition("-")[0] if way.b[0] in "FEK" else way.side
        return way.b

    def _coil(self, device: str, end: str, plus: str, minus: str, milliamps: float, off_at: float) -> None:
        name, drawn = self.lock.name(device), self.lock.drawn
        self._amps = milliamps
        self._wire(end, f"{name}:{plus}", 40 + self.number if device == "L" else 0)
        self._wire(f"{name}:{minus}", f"{self.lock.name('PS')}:-")
        relay = "" if device == "L" else name
        ohms = 24.0 / (milliamps / 1e3)
        coil = Part(
            f"{name}.coil", "coil", f"{name}:{plus}", f"{name}:{minus}", ohms, relay=relay, on_at=18.0, off_at=off_at
        )
        drawn.parts.append(coil)

    def _wire(self, a: str, b: str, metres: int = 0) -> None:
        """A jumper, or one conductor of a cable of its own."""
        drawn, said = self.lock.drawn, f"wire {a} to {b}"
        if metres:
            cable = self.lock.name("C")
            drawn.lines.append(f"cable {cable} {{ conductors 2 of 1.5 mm2; length {metres} m; solid }}")
            said += f" in {cable}/red"
        drawn.lines.append(said)
        drawn.parts.append(Part(said, "wire", a, b, metres / 1.5e-6 * OHM_METRES))


def _shuffled(ways: list[_Way], rng: Random) -> list[_Way]:
    return rng.sample(ways, len(ways))
