"""Doors made up at random, each twice: as the text of a plan, and as a list of parts for the tests' own solver.

What fails in them is more than a contact: cables of two to four conductors that several circuits share, a supply
that is earthed and one that is not, fuses, suppression, electronics with contacts, conductors that lead nowhere.
Nothing here is taken from the package under test.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from random import Random

from tests.proof.circuits import OHM_METRES, Drawing, Part, When, off, on

COLOURS = ("red", "black", "white", "green")


@dataclass(frozen=True, slots=True)
class Piece(Part):
    """`what` may also be fuse, clamp, or electronic: `size` is then the watts that it draws above half of its 24 V.

    `gives` is the most amperes of a source. `sided` loads are off below 0 V. The contacts of `relay` follow a load.
    """

    gives: float = math.inf
    sided: bool = False


@dataclass(slots=True)
class Pole:
    """One contact that may be used: of a device, between two terminals."""

    part: Piece
    opens_for_people: bool
    """Whether it breaks a lock's feed when somebody wants to leave, or on alarm."""


@dataclass(slots=True)
class Cable:
    """Conductors not used yet, and ohms of each."""

    name: str
    left: list[str]
    ohms: float


@dataclass(slots=True)
class Doors:
    """A drawing, and the signals by which people leave."""

    drawn: Drawing
    parts: list[Piece]
    ways_out: list[str]
    earthed: list[str]
    """Poles that are earthed."""


def doors(seed: int) -> Doors:
    """A circuit of at most seven signals, relays and electronics included."""
    return _Pen(seed).doors()


class _Pen:
    def __init__(self, seed: int) -> None:
        self.rng = Random(seed)
        self.drawn = Drawing(seed)
        self.parts: list[Piece] = []
        self.poles: list[Pole] = []
        self.supplies: list[str] = []
        self.cables: list[Cable] = []
        self.fuses = 0
        self.ways_out: list[str] = []
        self.earthed: list[str] = []
        self.inside: list[str] = []
        """Terminals behind a fuse or contact, where a conductor that leads nowhere may hang."""
        self.spare: list[str] = []

    def doors(self) -> Doors:
        rng = self.rng
        for _ in range(rng.choice([1, 2, 2])):
            self._supply()
        for _ in range(rng.choice([2, 3, 4])):
            self._cable()
        self._alarm()
        self._button("EB1")
        if rng.random() < 0.4:
            self._button("EB2")
        fed = [self._relay("K1")] if rng.random() < 0.6 else []
        fed += [self._sensor("XS1")] if rng.random() < 0.6 else []
        locks = [self._lock(f"L{i + 1}") for i in range(rng.choice([1, 1, 2]))]
        for name, plus, minus in fed:
            # What a sensor hears of is never its own contact's affair; a relay's may be, as it holds itself in.
            self._feed(name, plus, minus, rng.choice([0, 0, 1]))
        for name, plus, minus in locks:
            self._feed(name, plus, minus, rng.choice([1, 2, 2, 3]))
            self._suppress(name)
        if rng.random() < 0.3:
            self._wire(rng.choice(self.inside), self.spare.pop(rng.randrange(len(self.spare))))
        if len(self.supplies) == 2 and rng.random() < 0.5:
            self._wire("PS1:-", "PS2:-")
        self.parts += [pole.part for pole in self.poles]
        self.drawn.parts += self.parts
        return Doors(self.drawn, self.parts, self.ways_out, self.earthed)

    # --- devices ---------------------------------------------------------------------------------------------

    def _supply(self) -> None:
        name, rng = f"PS{len(self.supplies) + 1}", self.rng
        earthed, amps = name == "PS1" and rng.random() < 0.7, rng.choice([2.5, 5.0])
        self._say(f"supply {name} {{ output 24 Vdc, {amps:g} A{'; earthed' if earthed else ''} }}")
        self.drawn.signals.append(f"{name}.mains")
        self.earthed += [f"{name}:-"] if earthed else []
        self._add(
            Piece(
                f"{name}.main",
                "source",
                f"{name}:+",
                f"{name}:-",
                when=on(f"{name}.mains"),
                least=24.0,
                most=24.0,
                gives=amps,
            )
        )
        self.supplies.append(name)

    def _cable(self) -> None:
        name, count = f"C{len(self.cables) + 1}", self.rng.choice([2, 3, 4])
        metres, colours = self.rng.choice([10, 30, 60]), COLOURS[:count]
        said = f"conductors {count} of 1.5 mm2; length {metres} m; solid; colours {', '.join(colours)}"
        self._say(f"cable {name} {{ {said} }}")
        self.cables.append(Cable(name, list(colours), metres / 1.5e-6 * OHM_METRES))

    def _alarm(self) -> None:
        held = self.rng.random() < 0.3
        self._say(f"fire-alarm-relay FA1 {{ {'held in; ' if held else ''}poles 1 }}")
        self.drawn.signals += ["alarm", "panel"] if held else ["alarm"]
        self.ways_out.append("alarm")
        quiet: When = (lambda s: s["panel"] & ~s["alarm"]) if held else off("alarm")
        self._pair("FA1", "COM", *(("NO", "NC") if held else ("NC", "NO")), quiet)

    def _button(self, name: str) -> None:
        self._say(f"exit-button {name} {{ holds 30 s }}")
        signal = f"{name}.pressed"
        self.drawn.signals.append(signal)
        self.ways_out.append(signal)
        self._pair(name, "COM", "NC", "NO", off(signal))
        self._pair(name, "COM2", "NC2", "NO2", off(signal))

    def _relay(self, name: str) -> tuple[str, str, str]:
        amps = self.rng.choice([20, 50])
        self._say(f"relay {name} {{ coil 24 Vdc, {amps} mA; poles 2 }}")
        self.drawn.relays.append(name)
        for pole in (1, 2):
            self._pair(name, f"COM{pole}", f"NO{pole}", f"NC{pole}", on(name), both=True)
        coil = Piece(
            f"{name}.coil", "coil", f"{name}:A1", f"{name}:A2", 24e3 / amps, relay=name, on_at=18.0, off_at=2.4
        )
        self._add(coil)
        return name, "A1", "A2"

    def _sensor(self, name: str) -> tuple[str, str, str]:
        """Held in while powered and nobody near; powered from 85 % of 24 V, surely dead from 30 % down."""
        milliamps = self.rng.choice([35, 80])
        self._say(f"exit-sensor {name} {{ rated 24 Vdc, {milliamps} mA }}")
        signal = f"{name}.motion"
        self.drawn.signals.append(signal)
        self.drawn.relays.append(name)
        self.ways_out.append(signal)
        self._pair(name, "COM", "NO", "NC", lambda s: s[name] & ~s[signal])
        a, b = f"{name}:power+", f"{name}:power-"
        self._add(
            Piece(
                f"{name}.electronics",
                "electronic",
                a,
                b,
                0.024 * milliamps,
                relay=name,
                on_at=20.4,
                off_at=7.2,
                sided=True,
            )
        )
        return name, "power+", "power-"

    def _lock(self, name: str) -> tuple[str, str, str]:
        kind, amps = self.rng.choice(["magnetic-lock", "magnetic-lock", "safe", "secure"]), self.rng.choice([240, 500])
        magnet = kind == "magnetic-lock"
        self._say(
            f"magnetic-lock {name} {{ rated 24 Vdc, {amps} mA }}"
            if magnet
            else f"electric-strike {name} {{ fails {kind}; rated 24 Vdc, {amps} mA }}"
        )
        self.drawn.secured_when_on[name] = kind != "secure"
        off_at = 6.0 if magnet else 2.4
        self._add(Piece(f"{name}.coil", "coil", f"{name}:+", f"{name}:-", 24e3 / amps, on_at=18.0, off_at=off_at))
        return name, "+", "-"

    def _pair(self, name: str, common: str, quiet: str, other: str, when: When, both: bool = False) -> None:
        """A changeover: one side made when nobody wants out, the other the opposite. `both` sides may feed a lock."""
        for side, made, opens in ((quiet, when, True), (other, lambda s: ~when(s), both)):
            key = f"{name}.{common}-{side}"
            self.poles.append(Pole(Piece(key, "contact", f"{name}:{common}", f"{name}:{side}", when=made), opens))
        self.spare.append(f"{name}:{other}")

    # --- how they are joined ---------------------------------------------------------------------------------

    def _feed(self, load: str, plus: str, minus: str, contacts: int) -> None:
        supply, rng = self.rng.choice(self.supplies), self.rng
        end, fused = f"{supply}:+", rng.random() < 0.5
        if fused:
            end = self._fuse(end)
        for _ in range(contacts):
            end = self._contact(end, load)
            if rng.random() < 0.15:
                before = self.parts[-1].a
                other = self._contact(before, load)
                if other != before:
                    self._wire(other, end)
        self._wire(end, f"{load}:{plus}")
        self.inside.append(f"{load}:{plus}")
        back = f"{load}:{minus}"
        if rng.random() < 0.25:
            back = self._contact(back, load)
        self._wire(back, f"{supply}:-")

    def _fuse(self, start: str) -> str:
        """One that no supply here can open: when a fuse opens is a matter of time, and not asked."""
        self.fuses += 1
        name = f"F{self.fuses}"
        self._say(f"fuse {name} {{ rated 20 A }}")
        self._wire(start, f"{name}:1")
        self._add(Piece(f"{name}.1-2", "fuse", f"{name}:1", f"{name}:2"))
        self.inside.append(f"{name}:2")
        return f"{name}:2"

    def _contact(self, start: str, load: str) -> str:
        used = {t for p in self.parts if p.what == "contact" for t in (p.a, p.b)}
        free = [p for p in self.poles if p.opens_for_people and not {p.part.a, p.part.b} & used]
        free = [p for p in free if not (load.startswith("XS") and p.part.a.startswith("XS"))]
        if not free:
            return start
        pole = self.rng.choice(free)
        self.poles.remove(pole)
        self._wire(start, pole.part.a)
        self._add(pole.part)
        self.inside.append(pole.part.b)
        self.spare = [t for t in self.spare if t != pole.part.b]
        return pole.part.b

    def _suppress(self, load: str) -> None:
        """A diode across the coil, cathode to plus, or a snubber, or nothing."""
        what = self.rng.choice(["diode", "snubber", "clamp", ""])
        if not what:
            return
        name = f"{what[0].upper()}V{load[1:]}"
        self._say(
            f"{what} {name} {{ rated {400 if what == 'diode' else 38} V{'dc, 3 A' if what == 'diode' else 'dc'} }}"
        )
        a, b = ("anode", "cathode") if what == "diode" else ("1", "2")
        self._wire(f"{name}:{b}", f"{load}:+")
        self._wire(f"{name}:{a}", f"{load}:-")
        primitive = "diode" if what == "diode" else "clamp"
        self._add(Piece(f"{name}.{a}-{b}", primitive, f"{name}:{a}", f"{name}:{b}", 0.7))

    def _wire(self, a: str, b: str) -> None:
        """A jumper, or a conductor of a cable that has one left."""
        free = [cable for cable in self.cables if cable.left]
        if free and self.rng.random() < 0.6:
            cable = self.rng.choice(free)
            colour = cable.left.pop(0)
            self._say(f"wire {a} to {b} in {cable.name}/{colour}")
            self._add(Piece(f"wire {a} to {b} in {cable.name}/{colour}", "wire", a, b, cable.ohms))
        else:
            self._say(f"wire {a} to {b}")
            self._add(Piece(f"wire {a} to {b}", "wire", a, b))

    def _say(self, line: str) -> None:
        self.drawn.lines.append(line)

    def _add(self, part: Piece) -> None:
        self.parts.append(part)
