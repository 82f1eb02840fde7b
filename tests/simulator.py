"""Operating points of direct-current networks by ngspice, a general-purpose circuit simulator.

One process works many networks, each a deck of its own, so that one that will not converge spoils no other.
Every part carries an ammeter (a source of no volts); every separate piece of a network is grounded by itself.
"""

from __future__ import annotations

import subprocess
import tempfile
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

NEARLY_NOTHING = 1e-6
"""Ohms of a closed contact, a jumper, an intact fuse."""

JUNCTION = ".model sharp D(IS=1e-6 N=1e-3)"
"""The simulator's own diode, made so sharp that it drops less than half a millivolt at any current here."""


@dataclass(frozen=True, slots=True)
class Resistor:
    """`ohms` between two nodes."""

    name: str
    a: str
    b: str
    ohms: float


@dataclass(frozen=True, slots=True)
class Source:
    """Holds `volts` from b to a as long as no more than `amps` are asked of it; then holds the amps.

    With `takes` it also lets current in, as a bare battery would; without, it blocks like a rectifier.
    """

    name: str
    a: str
    b: str
    volts: float
    amps: float
    takes: bool = False


@dataclass(frozen=True, slots=True)
class Electronic:
    """Draws `watts` above half of `volts`; below that it is the resistance that draws as much there."""

    name: str
    a: str
    b: str
    volts: float
    watts: float
    polarised: bool = False


@dataclass(frozen=True, slots=True)
class Steady:
    """Draws `amps` whatever the volts, as long as there are any: the constant-current model of a load."""

    name: str
    a: str
    b: str
    amps: float


@dataclass(frozen=True, slots=True)
class OneWay:
    """A diode from a (anode) to b (cathode) with a fixed `drop` and no other resistance."""

    name: str
    a: str
    b: str
    drop: float


Part = Resistor | Source | Electronic | Steady | OneWay


@dataclass(frozen=True, slots=True)
class Point:
    """An operating point: volts of each node against its piece's ground, amps from a to b in each part."""

    volts: Mapping[str, float]
    amps: Mapping[str, float]

    def across(self, part: Part) -> float:
        """Volts from b to a."""
        return self.volts[part.a] - self.volts[part.b]


def operating_points(networks: Sequence[Sequence[Part]]) -> list[Point]:
    """The operating point of each network, all by one process of the simulator."""
    if not networks:
        return []
    with tempfile.TemporaryDirectory() as folder:
        raw = Path(folder) / "points.raw"
        for number, parts in enumerate(networks):
            (Path(folder) / f"{number}.cir").write_text(_deck(number, parts), encoding="ascii")
        told = subprocess.run(
            ["ngspice", "-b", "-n", "/dev/stdin"],
            input=_control(folder, raw, len(networks)),
            capture_output=True,
            text=True,
            check=False,
        )
        plots = _plots(raw.read_text(encoding="ascii") if raw.exists() else "")
    missing = [str(n) for n in range(len(networks)) if n not in plots]
    assert not missing, f"no operating point for networks {', '.join(missing)}:\n{told.stdout}{told.stderr}"
    return [_point(parts, plots[number]) for number, parts in enumerate(networks)]


def grounds(parts: Iterable[Part]) -> dict[str, str]:
    """For each node the node that grounds its piece: minus of the first source, or else its first node."""
    parts = sorted(parts, key=lambda part: not isinstance(part, Source))
    leader: dict[str, str] = {}

    def find(node: str) -> str:
        while leader.setdefault(node, node) != node:
            node = leader[node]
        return node

    for part in parts:
        first, second = find(part.b), find(part.a)
        leader[second] = first
    return {node: find(node) for node in list(leader)}


def _control(folder: str, raw: Path, count: int) -> str:
    lines = ["operating points", "R0 idle 0 1", ".control", "set filetype=ascii", "set appendwrite"]
    for number in range(count):
        lines += [f"source {folder}/{number}.cir", "op", f"write {raw} all", "destroy all", "remcirc"]
    return "\n".join([*lines, "quit", ".endc", ".end", ""])


def _names(parts: Sequence[Part]) -> dict[str, str]:
    """Node names that the simulator takes: a number behind a letter, 0 for each piece's ground."""
    ground = grounds(parts)
    return {node: "0" if ground[node] == node else f"n{i}" for i, node in enumerate(sorted(ground))}


def _deck(number: int, parts: Sequence[Part]) -> str:
    names = _names(parts)
    lines = [f"network {number}"]
    for i, part in enumerate(parts):
        lines.append(f"Vm{i} {names[part.a]} m{i} 0")
        lines += _cards(i, part, f"m{i}", names[part.b])
    lines += [JUNCTION, ".options reltol=1e-6 abstol=1e-12 gmin=1e-9 itl1=1000", ".end", ""]
    return "\n".join(lines)


def _cards(i: int, part: Part, a: str, b: str) -> list[str]:
    across = f"V({a},{b})" if b != "0" else f"V({a})"
    match part:
        case Resistor(ohms=ohms):
            return [f"R{i} {a} {b} {max(ohms, NEARLY_NOTHING)!r}"]
        case Source(volts=volts, amps=amps, takes=takes):
            # A current source whose surplus flows back through a diode is a source of volts up to its limit.
            limited = [f"Ve{i} e{i} {b} {volts!r}", f"I{i} e{i} l{i} {amps!r}", f"Da{i} l{i} e{i} sharp"]
            return [*limited, f"Rl{i} l{i} {a} {NEARLY_NOTHING!r}" if takes else f"Db{i} l{i} {a} sharp"]
        case Electronic(volts=volts, watts=watts, polarised=polarised):
            ohms = (volts / 2) ** 2 / watts
            forward = f"{across} > {volts / 2!r} ? {watts!r}/{across} : {across}/{ohms!r}"
            reverse = (
                "0" if polarised else f"({across} < {-volts / 2!r} ? {watts!r}/{across} : {across}/{ohms!r})"
            )
            return [f"B{i} {a} {b} I={across} < 0 ? {reverse} : ({forward})"]
        case Steady(amps=amps):
            # A slope up to a millivolt in place of a step, which no iteration could settle on.
            held = f"({across} > 0 ? {amps!r} : {-amps!r})"
            return [f"B{i} {a} {b} I=abs({across}) > 1e-3 ? {held} : {across}*{amps * 1e3!r}"]
        case OneWay(drop=drop):
            return [f"Vd{i} {a} d{i} {drop!r}", f"D{i} d{i} {b} sharp"]


def _plots(text: str) -> dict[int, dict[str, float]]:
    """Network number → vector name → value, from the simulator's raw file."""
    found: dict[int, dict[str, float]] = {}
    for piece in text.split("Title: network ")[1:]:
        head, _, rest = piece.partition("Variables:\n")
        names, _, numbers = rest.partition("Values:\n")
        vectors = [line.split()[1] for line in names.splitlines()]
        values = [float(word) for word in numbers.split()[1:]]
        found[int(head.split(maxsplit=1)[0])] = dict(zip(vectors, values, strict=True))
    return found


def _point(parts: Sequence[Part], vectors: Mapping[str, float]) -> Point:
    volts = {node: 0.0 if name == "0" else vectors[f"v({name})"] for node, name in _names(parts).items()}
    return Point(volts, {part.name: vectors[f"i(vm{i})"] for i, part in enumerate(parts)})
