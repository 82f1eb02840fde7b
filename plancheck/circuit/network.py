"""Networks: the parts of a plan that can be solved apart from one another.

Live sources hold their terminals at fixed volts, so what hangs on one supply falls apart there into small
networks that do not feel each other; so does what hangs behind contacts and jumpers that lose no volts. Where
branches of two supplies form a loop (back-feed is then possible), and where relays of several networks drive each
other in a circle, they stay together.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from plancheck.circuit.circuits import branch_circuits
from plancheck.plan.graph import Branch, blocks, in_dependence_order
from plancheck.plan.guard import Atom, atoms


@dataclass(slots=True, eq=False)
class Network:
    """Branches that are solved together; `sources` among them. `rank` orders networks by dependence.

    `feedback` holds the keys of loads and senses that guards of this very network ask about.
    """

    number: int
    branches: list[Branch]
    feedback: tuple[str, ...] = ()
    rank: int = 0
    replaces: bool = False
    """Whether it stands in the place of others, something having failed."""
    sources: list[Branch] = field(init=False)
    """The sources that can feed it."""
    poles: tuple[tuple[str, str], ...] = field(init=False)
    """The terminals between which its sources stand, plus and minus."""

    def __post_init__(self) -> None:
        self.sources = [b for b in self.branches if b.what == "source"]
        self.poles = tuple(dict.fromkeys((s.a, s.b) for s in self.sources))

    def number_of(self, key: str) -> int:
        """The number of a branch, by its key."""
        return next(i for i, b in enumerate(self.branches) if b.key == key)


@dataclass(frozen=True, slots=True, eq=False)
class Circuit:
    """One branch circuit: a network as fed from the poles of one source."""

    source: Branch
    network: Network

    @property
    def key(self) -> str:
        """Name that tells it from the source's other circuits: its first part that is no source."""
        first = next((b.key for b in self.network.branches if b.what != "source"), "")
        return f"{self.source.key} / {first}"


def atom_key(branch: Branch, atom: Atom) -> str:
    """Key of the load or sense that a guard's atom asks about."""
    return f"{branch.device}.{atom.name}"


def split_into_networks(branches: Sequence[Branch], whole: Collection[str] = ()) -> list[Network]:
    """Networks of branches, those that others depend on first.

    `whole` names supplies that cannot hold their volts: what hangs on them is not cut.
    """
    pieces = [piece for block in blocks(branches) for piece in _pieces(block, whole)]
    home = {b.key: i for i, piece in enumerate(pieces) for b in piece if b.what in ("load", "sense")}
    needs = [(i, home[key]) for i, piece in enumerate(pieces) for b in piece for key in asked_keys(b) if key in home]
    networks: list[Network] = []
    rank_of: dict[int, int] = {}
    depends = defaultdict(set)
    for a, b in needs:
        depends[a].add(b)
    for group in in_dependence_order(len(pieces), needs):
        branches = list({b.key: b for i in group for b in pieces[i]}.values())
        inside = {b.key for b in branches if b.what in ("load", "sense")}
        feedback = tuple(dict.fromkeys(k for b in branches for k in asked_keys(b) if k in inside))
        rank = 1 + max((rank_of[d] for i in group for d in depends[i] if d not in group), default=-1)
        rank_of.update(dict.fromkeys(group, rank))
        networks.append(Network(len(networks), branches, feedback, rank))
    return networks


def asked_keys(branch: Branch) -> Iterator[str]:
    """Keys of the loads and senses that a branch's guard asks about."""
    return (atom_key(branch, a) for a in atoms(branch.guard) if a.what != "signal")


def _pieces(block: list[Branch], whole: Collection[str]) -> Iterable[list[Branch]]:
    """A block cut at the poles of its supply, unless it has the poles of several."""
    sources = [b for b in block if b.what == "source"]
    poles = {(s.a, s.b) for s in sources}
    if len({frozenset(p) for p in poles}) != 1 or any(s.device in whole for s in sources):
        return [block]
    rest = [b for b in block if b.what != "source"]
    return ([*circuit, *sources] for circuit in branch_circuits(rest, *poles.pop()))
