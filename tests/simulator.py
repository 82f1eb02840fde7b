"""Operating points of direct-current networks by ngspice, a general-purpose circuit simulator.

One process works many networks, each a deck of its own, so that one that will not converge spoils no other.
Every part carries an ammeter (a source of no volts); every separate piece of a network is grounded by itself.
What has no resistance at all joins its two nodes into one: a micro-ohm beside loads of kilo-ohms would leave
nothing but rounding of the leak that settles a node behind a blocking diode.
"""

from __future__ import annotations

import subprocess
import tempfile
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

OPTIONS = ".options reltol=1e-6 gmin=1e-12 itl1=1000 rshunt=1e12"
"""`rshunt` leads each node to ground, so that one behind blocking diodes has a voltage."""

ATTEMPTS = (
    ("IS=1e-12 N=5e-4", "abstol=1e-8"),
    ("IS=1e-12 N=1e-3", "abstol=1e-8"),
    ("IS=1e-12 N=5e-4", "abstol=1e-6 vntol=1e-5"),
    ("IS=1e-12 N=2e-4", "abstol=1e-6 vntol=1e-5"),
    ("IS=1e-9 N=1e-3", "abstol=1e-6 vntol=1e-5"),
)
"""The simulator's own diode, made so sharp that it drops less than a millivolt at any current here; and when
currents count as settled. 24 V across a closed contact's conductance is known to some nanoamperes only, in
double precision, so nothing finer would ever settle. Where one shape does not converge the next may, to the same
volts."""


@dataclass(frozen=True, slots=True)
class Resistor:
    """`ohms` between two nodes; none for a closed contact, a jumper, an intact fuse."""

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
    """Draws `amps` above half of `volts`; below that it is the resistance that draws as much there."""

    name: str
    a: str
    b: str
    volts: float
    amps: float


@dataclass(frozen=True, slots=True)
class OneWay:
    """A diode from a (anode) to b (cathode) with a fixed `drop` and no other resistance."""

    name: str
    a: str
    b: str
    drop: float


Part = Resistor | Source | Electronic | Steady | OneWay


Volts = Mapping[str, float]
"""By node."""


@dataclass(frozen=True, slots=True)
class Point:
    """An operating point: volts of each node against its piece's ground, amps from a to b in each part that
    resists: how two jumpers side by side share is not asked."""

    volts: Volts
    amps: Mapping[str, float]

    def across(self, part: Part) -> float:
        """Volts from b to a."""
        return self.volts[part.a] - self.volts[part.b]


def operating_points(networks: Sequence[Sequence[Part]]) -> list[Point]:
    """The operating point of each network, all by one process of the simulator."""
    found = search(networks)
    lost = [number for number, point in enumerate(found) if point is None]
    assert not lost, f"no operating point for networks {lost}"
    return [point for point in found if point is not None]


def search(networks: Sequence[Sequence[Part]], starts: Sequence[Volts] = ()) -> list[Point | None]:
    """The same, None where the iteration does not converge.

    Pieces without a source are not asked about: nothing flows there, and any volts would do. `starts` gives, for
    each network, volts to begin the search at; where they are no operating point it moves away from them.
    """
    fed = {n: parts for n, parts in enumerate(map(_fed, networks)) if parts}
    plots: dict[int, dict[str, float]] = {}
    for junction, settled in ATTEMPTS:
        missing = {n: parts for n, parts in fed.items() if n not in plots}
        if missing:
            found = _run(missing, starts, f".model sharp D({junction})", f"{OPTIONS} {settled}")
            plots |= {n: vectors for n, vectors in found.items() if _is_sound(fed[n], vectors)}
    return [
        None if n in fed and n not in plots else _point(parts, fed.get(n, []), plots.get(n, {}))
        for n, parts in enumerate(networks)
    ]


def _run(networks: Mapping[int, Sequence[Part]], starts: Sequence[Volts], *common: str) -> dict[int, dict[str, float]]:
    """Vectors of the networks that converge, by number."""
    with tempfile.TemporaryDirectory() as folder:
        raw = Path(folder) / "points.raw"
        for number, parts in networks.items():
            deck = [*_deck(number, parts), *_start(parts, starts[number] if starts else {}), *common, ".end", ""]
            (Path(folder) / f"{number}.cir").write_text("\n".join(deck), encoding="ascii")
        subprocess.run(
            ["ngspice", "-b", "-n", "/dev/stdin"],
            input=_control(folder, raw, networks),
            capture_output=True,
            text=True,
            check=False,
        )
        text = raw.read_text(encoding="ascii") if raw.exists() else ""
    return _plots(text)


def pieces(parts: Iterable[Part]) -> dict[str, str]:
    """For each node one that stands for the piece it is in: all that the parts join."""
    leader: dict[str, str] = {}

    def find(node: str) -> str:
        while leader.setdefault(node, node) != node:
            node = leader[node]
        return node

    for part in parts:
        leader[find(part.a)] = find(part.b)
    return {node: find(node) for node in list(leader)}


def _fed(parts: Sequence[Part]) -> list[Part]:
    """The parts of pieces that have a source."""
    piece = pieces(parts)
    fed = {piece[part.a] for part in parts if isinstance(part, Source)}
    return [part for part in parts if piece[part.a] in fed]


def _control(folder: str, raw: Path, numbers: Iterable[int]) -> str:
    lines = ["operating points", "R0 idle 0 1", ".control", "set filetype=ascii", "set appendwrite"]
    for number in numbers:
        lines += [f"source {folder}/{number}.cir", "op", f"write {raw} all", "destroy all", "remcirc"]
    return "\n".join([*lines, "quit", ".endc", ".end", ""])


def _names(parts: Sequence[Part]) -> dict[str, str]:
    """Node names that the simulator takes: a number behind a letter, 0 for minus of each piece's first source.

    Nodes that nothing resists between share a name.
    """
    piece = pieces(parts)
    joined = pieces(part for part in parts if not resists(part))
    one = {node: joined.get(node, node) for node in piece}
    ground = {piece[part.b]: one[part.b] for part in reversed(parts) if isinstance(part, Source)}
    number = {node: f"n{i}" for i, node in enumerate(sorted(set(one.values())))}
    return {node: "0" if ground[piece[node]] == one[node] else number[one[node]] for node in piece}


def resists(part: Part) -> bool:
    """Whether it is more than a mere joint."""
    return not isinstance(part, Resistor) or part.ohms > 0.0


def _deck(number: int, parts: Sequence[Part]) -> list[str]:
    names = _names(parts)
    lines = [f"network {number}"]
    for i, part in enumerate(parts):
        if resists(part):
            lines.append(f"Vm{i} {names[part.a]} m{i} 0")
            lines += _cards(i, part, f"m{i}", names[part.b])
    return lines


def _start(parts: Sequence[Part], volts: Volts) -> list[str]:
    names, piece = _names(parts), pieces(parts)
    ground = {piece[node]: volts.get(node, 0.0) for node, name in names.items() if name == "0"}
    begun = {names[n]: v - ground[piece[n]] for n, v in volts.items() if names.get(n, "0") != "0"}
    return [f".nodeset V({name})={v!r}" for name, v in begun.items()]


def _is_sound(parts: Sequence[Part], vectors: Mapping[str, float]) -> bool:
    """Whether parts keep to their laws and nodes to Kirchhoff's: the iteration is known to stop short of that."""
    point, names = _point(parts, parts, vectors), _names(parts)
    left = dict.fromkeys(names.values(), 0.0)
    for part in filter(resists, parts):
        amps = point.amps[part.name]
        left[names[part.a]] += amps
        left[names[part.b]] -= amps
        if not _keeps_its_law(part, amps, point.across(part)):
            return False
    return all(abs(amps) <= 1e-5 for amps in left.values())


def _keeps_its_law(part: Part, amps: float, volts: float) -> bool:
    match part:
        case Source(amps=most, takes=takes):
            return -amps <= most * 1.0001 + 1e-6 and (takes or amps <= 1e-6)
        case OneWay():
            return amps >= -1e-6
        case Electronic(volts=rated, watts=watts, polarised=polarised):
            drawn = 0.0 if polarised and volts < 0 else watts * volts / max(abs(volts), rated / 2) ** 2
        case Steady(volts=rated, amps=rated_amps):
            drawn = rated_amps * volts / max(abs(volts), rated / 2)
        case Resistor(ohms=ohms):
            drawn = volts / ohms
    return abs(amps - drawn) <= 1e-4 * abs(drawn) + 1e-5


def _cards(i: int, part: Part, a: str, b: str) -> list[str]:
    across = f"V({a},{b})" if b != "0" else f"V({a})"
    match part:
        case Resistor(ohms=ohms):
            return [f"R{i} {a} {b} {ohms!r}"]
        case Source(volts=volts, amps=amps, takes=takes):
            # A current source whose surplus flows back through a diode is a source of volts up to its limit.
            limited = [f"Ve{i} e{i} {b} {volts!r}", f"I{i} e{i} l{i} {amps!r}", f"Da{i} l{i} e{i} sharp"]
            return [*limited, f"Vl{i} l{i} {a} 0" if takes else f"Db{i} l{i} {a} sharp"]
        case Electronic(volts=volts, watts=watts, polarised=polarised):
            drawn = f"{watts!r}*{across}/max(abs({across}),{volts / 2!r})^2"
            return [f"B{i} {a} {b} I={f'{across} < 0 ? 0 : {drawn}' if polarised else drawn}"]
        case Steady(volts=volts, amps=amps):
            return [f"B{i} {a} {b} I={amps!r}*{across}/max(abs({across}),{volts / 2!r})"]
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


def _point(parts: Sequence[Part], fed: Sequence[Part], vectors: Mapping[str, float]) -> Point:
    volts = {node: 0.0 for part in parts for node in (part.a, part.b)}
    volts |= {node: 0.0 if name == "0" else vectors[f"v({name})"] for node, name in _names(fed).items()}
    amps = {part.name: 0.0 for part in parts if resists(part)}
    return Point(volts, amps | {p.name: vectors[f"i(vm{i})"] for i, p in enumerate(fed) if resists(p)})
