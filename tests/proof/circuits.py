"""Circuits made up at random, each twice: as the text of a plan, and as a list of parts for the tests' own solver.

Contacts of buttons, an alarm relay and relays, in series and parallel, feed locks and coils of relays. Some feeds
are bridged, some loads stand in series, some runs have resistance, some branches a diode; relays may drive one
another and themselves; there are one or two supplies. Nothing here is taken from the package under test.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from random import Random

import numpy as np
from numpy.typing import NDArray

Bits = NDArray[np.bool_]
Standing = Mapping[str, Bits]
"""By signal or relay, whether it is on, in many conditions at once."""
When = Callable[[Standing], Bits]

OHM_METRES = 1 / 58e6
"""Annealed copper at 20 °C: 1/58 ohm for a metre of a square millimetre (IEC 60028)."""


@dataclass(frozen=True, slots=True)
class Part:
    """`what` is wire, contact, diode, coil or source; `size` is ohms, or the drop of a diode.

    `least` and `most` are the ends of a source's band, `limit` the most amperes that it gives; `on_at` and `off_at`
    the volts of a coil.
    """

    key: str
    what: str
    a: str
    b: str
    size: float = 0.0
    when: When | None = None
    relay: str = ""
    on_at: float = 0.0
    off_at: float = 0.0
    least: float = 0.0
    most: float = 0.0
    limit: float = math.inf


@dataclass(slots=True)
class Drawing:
    """One circuit. `secured_when_on` maps each lock to whether its coil holds it (else it holds without power)."""

    seed: int
    lines: list[str] = field(default_factory=list)
    parts: list[Part] = field(default_factory=list)
    signals: list[str] = field(default_factory=list)
    relays: list[str] = field(default_factory=list)
    secured_when_on: dict[str, bool] = field(default_factory=dict)

    @property
    def text(self) -> str:
        """The plan."""
        return "\n".join(["ambient 20 degC to 20 degC", *self.lines, ""])


def on(name: str) -> When:
    """Whenever that signal or relay is on."""
    return lambda now: now[name]


def off(name: str) -> When:
    """Whenever it is not."""
    return lambda now: ~now[name]


def drawing(seed: int, amps: float = 20.0) -> Drawing:
    """A circuit of at most twelve signals; `amps` is what each supply gives."""
    return _Pen(seed, amps).drawing()


@dataclass(slots=True)
class Way:
    """A device whose contacts may be used: `poles` left, each with a common and what its two sides are."""

    name: str
    made: When
    broken: When
    left: list[tuple[str, str, str]]


class _Pen:
    def __init__(self, seed: int, amps: float) -> None:
        self.rng, self.amps = Random(seed), amps
        self.done = Drawing(seed)
        self.ways: list[Way] = []
        self.supplies: list[str] = []
        self.runs = 0
        self.middles: list[str] = []
        """Terminals inside feeds, for bridges."""

    def drawing(self) -> Drawing:
        rng, done = self.rng, self.done
        relays = rng.choice([0, 1, 1, 2, 2, 3])
        signals = rng.choice([3, 4, 4, 5, 5, 6, 7]) if rng.random() < 0.93 else 12 - relays
        for _ in range(rng.choice([1, 1, 2])):
            self._supply()
        if rng.random() < 0.3:
            self._alarm()
        while len(done.signals) < signals:
            self._button()
        done.relays += [f"K{i + 1}" for i in range(relays)]
        for name in done.relays:
            self.ways.append(Way(name, on(name), off(name), [(f"COM{p}", f"NO{p}", f"NC{p}") for p in range(1, 5)]))
            done.lines.append(f"relay {name} {{ coil 24 Vdc, {rng.choice([20, 50])} mA; poles 4 }}")
        loads = [*((name, "A1", "A2") for name in done.relays), *self._locks()]
        for load in loads:
            self._feed(*load)
        for _ in range(rng.choice([0, 0, 0, 1])):
            self._bridge()
        self._coils()
        return done

    # --- devices ---------------------------------------------------------------------------------------------

    def _supply(self) -> None:
        name = f"PS{len(self.supplies) + 1}"
        backed = self.rng.random() < 0.25
        volts = 24.0 if self.rng.random() < 0.8 or not self.supplies else 27.0
        battery = "; battery 7 Ah" if backed else ""
        self.done.lines.append(f'supply {name} "{volts:g} V" {{ output {volts:g} Vdc, {self.amps:g} A{battery} }}')
        mains, reserve = f"{name}.mains", f"{name}.reserve"
        plus, minus = f"{name}:+", f"{name}:-"
        self.done.signals.append(mains)
        # 1.75 V a cell at cut-off, 2.275 V on float, of 2 V (the kinds' own comment, from memory).
        high = volts * 1.1375 if backed else volts
        self._part(f"{name}.main", "source", plus, minus, when=on(mains), least=volts, most=high, limit=self.amps)
        if backed:
            self.done.signals.append(reserve)
            alone: When = lambda s: s[reserve] & ~s[mains]  # noqa: E731
            key, least = f"{name}.reserve-source", volts * 0.875
            self._part(key, "source", plus, minus, when=alone, least=least, most=high, limit=self.amps)
        self.supplies.append(name)

    def _alarm(self) -> None:
        held = self.rng.random() < 0.5
        self.done.lines.append(f"fire-alarm-relay FA1 {{ {'held in; ' if held else ''}poles 2 }}")
        self.done.signals += ["alarm", "panel"] if held else ["alarm"]
        if held:
            made: When = lambda s: s["panel"] & ~s["alarm"]  # noqa: E731
            broken: When = lambda s: ~s["panel"] | s["alarm"]  # noqa: E731
        else:
            made, broken = on("alarm"), off("alarm")
        self.ways.append(Way("FA1", made, broken, [("COM1", "NO1", "NC1"), ("COM2", "NO2", "NC2")]))

    def _button(self) -> None:
        name = f"EB{len(self.ways) + 1}"
        self.done.lines.append(f"exit-button {name} {{ holds 30 s }}")
        signal = f"{name}.pressed"
        self.done.signals.append(signal)
        self.ways.append(Way(name, on(signal), off(signal), [("COM", "NO", "NC"), ("COM2", "NO2", "NC2")]))

    def _locks(self) -> list[tuple[str, str, str]]:
        found = []
        for i in range(self.rng.choice([1, 1, 2, 2])):
            kind = self.rng.choice(["magnetic-lock", "safe", "secure"])
            name = f"L{i + 1}"
            amps = self.rng.choice([120, 240, 500])
            said = (
                f"magnetic-lock {name} {{ rated"
                if kind == "magnetic-lock"
                else f"electric-strike {name} {{ fails {kind}; rated"
            )
            self.done.lines.append(f"{said} 24 Vdc, {amps} mA }}")
            self.done.secured_when_on[name] = kind != "secure"
            found.append((name, "+", "-"))
        return found

    def _coils(self) -> None:
        """What loads draw, and from which volts they are on: 75 % in; 25 % out for a magnet, 10 % for the others."""
        for line in list(self.done.lines):
            words = line.replace(",", "").replace(";", "").split()
            if words[0] not in ("relay", "magnetic-lock", "electric-strike"):
                continue
            name, amps = words[1], float(words[words.index("mA") - 1]) / 1e3
            a, b = ("A1", "A2") if words[0] == "relay" else ("+", "-")
            out = 6.0 if words[0] == "magnetic-lock" else 2.4
            relay = name if words[0] == "relay" else ""
            self._part(
                f"{name}.coil", "coil", f"{name}:{a}", f"{name}:{b}", 24.0 / amps, relay=relay, on_at=18.0, off_at=out
            )

    # --- how they are joined ---------------------------------------------------------------------------------

    def _feed(self, load: str, plus: str, minus: str) -> None:
        supply = self.rng.choice(self.supplies)
        end = self._path(f"{supply}:+", self.rng.choice([1, 2, 2, 3]))
        self._wire(end, f"{load}:{plus}")
        self.middles.append(f"{load}:{plus}")
        other = self.rng.choice(self.supplies) if self.rng.random() < 0.1 else supply
        locks = [name for name in self.done.secured_when_on if name != load]
        if locks and self.rng.random() < 0.06:
            self._wire(f"{load}:{minus}", f"{self.rng.choice(locks)}:+")
        else:
            self._wire(f"{load}:{minus}", f"{other}:-")
        if other != supply:
            self._wire(f"{supply}:-", f"{other}:-")

    def _path(self, start: str, depth: int) -> str:
        """From a terminal on through contacts; the terminal where it ends."""
        rng = self.rng
        if depth == 0 or rng.random() < 0.2:
            return self._contact(start)
        if rng.random() < 0.45:
            one, other = self._path(start, depth - 1), self._path(start, depth - 1)
            if one != other:
                self._wire(one, other)
            return one
        middle = self._path(start, depth - 1)
        self.middles.append(middle)
        if rng.random() < 0.06:
            middle = self._diode(middle)
        return self._path(middle, depth - 1)

    def _contact(self, start: str) -> str:
        usable = [way for way in self.ways if way.left]
        if not usable:
            return start
        way = self.rng.choice(usable)
        common, make, break_ = way.left.pop()
        side, when = self.rng.choice([(make, way.made), (break_, way.broken)])
        a, b = f"{way.name}:{common}", f"{way.name}:{side}"
        self._wire(start, a)
        self._part(f"{way.name}.{common}-{side}", "contact", a, b, when=when)
        return b

    def _diode(self, start: str) -> str:
        name = f"D{sum(p.what == 'diode' for p in self.done.parts) + 1}"
        self.done.lines.append(f"diode {name} {{ rated 400 V, 3 A }}")
        self._wire(start, f"{name}:anode")
        self._part(f"{name}.anode-cathode", "diode", f"{name}:anode", f"{name}:cathode", 0.7)
        return f"{name}:cathode"

    def _bridge(self) -> None:
        a, b = self.rng.choice(self.middles), self.rng.choice(self.middles)
        if a != b:
            self._wire(a, b)

    def _wire(self, a: str, b: str) -> None:
        """A jumper, or one conductor of a cable of its own."""
        if self.rng.random() < 0.3:
            self.runs += 1
            metres = self.rng.choice([10, 40, 95])
            self.done.lines.append(f"cable C{self.runs} {{ conductors 2 of 1.5 mm2; length {metres} m; solid }}")
            self.done.lines.append(f"wire {a} to {b} in C{self.runs}/red")
            self._part(f"wire {a} to {b} in C{self.runs}/red", "wire", a, b, metres / 1.5e-6 * OHM_METRES)
        else:
            self.done.lines.append(f"wire {a} to {b}")
            self._part(f"wire {a} to {b}", "wire", a, b)

    def _part(
        self,
        key: str,
        what: str,
        a: str,
        b: str,
        size: float = 0.0,
        when: When | None = None,
        relay: str = "",
        **volts: float,
    ) -> None:
        self.done.parts.append(Part(key, what, a, b, size, when, relay, **volts))
