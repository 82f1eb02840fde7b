"""Framing: a network under a variation, brought into the terms of a frame."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from plancheck.circuit.conditions import Space, Truth
from plancheck.circuit.frame import Frame
from plancheck.circuit.history import MANY_COILS
from plancheck.circuit.network import Network, atom_key
from plancheck.circuit.parts import Local, LocalGuard, Part, localise
from plancheck.circuit.values import Incomplete, part_name
from plancheck.circuit.variation import Sag, Variation
from plancheck.plan.graph import Branch
from plancheck.plan.guard import Constant, Guard, atoms
from plancheck.plan.model import Device

MANY_SIGNALS = 20
"""A network that more signals than this can influence is not assessed."""


class Framing:
    """Turns a network's branches and guards into a frame and the names of its signals.

    `frames` remembers frames by shape; `truth` tells whether a load or sense of another network is on, or why
    that could not be worked out, and `unrest` in which conditions that comes and goes without end.
    """

    def __init__(
        self,
        frames: dict[object, Frame],
        devices: Mapping[str, Device],
        truth: Callable[[str, Variation], Truth | str],
        unrest: Callable[[str, Variation], Truth],
        network: Network,
        variation: Variation,
        sags: Sequence[Sag] = (),
    ) -> None:
        self.frames, self.devices, self.truth, self.unrest = frames, devices, truth, unrest
        self.network, self.variation, self.sags = network, variation, sags
        self.signals: dict[str, int] = {}
        self.outside: list[tuple[tuple[int, ...], int]] = []
        self.outside_number: dict[str, LocalGuard] = {}
        self.restless: list[tuple[str, Truth]] = []
        """Signals that stand for a coil elsewhere, with where it comes and goes."""

    def frame(self) -> tuple[Frame, tuple[str, ...]]:
        """The frame and the names of its signals. Raises Incomplete."""
        sources = self.network.sources
        if len({b.data.get("form") for b in sources} & {"ac", "dc"}) == 2:
            names = ", ".join(sorted({b.device for b in sources}))
            raise Incomplete(f"AC and DC meet in one network ({names})")
        nodes: dict[str, int] = {}
        parts = tuple(
            Part(
                part_name(b),
                nodes.setdefault(b.a, len(nodes)),
                nodes.setdefault(b.b, len(nodes)),
                self._guard(b),
            )
            for b in self.network.branches
        )
        for sag in self.sags:
            for name in sag.space.signals:
                self._signal(name)
        if len(self.signals) > MANY_SIGNALS:
            raise Incomplete(f"{len(self.signals)} signals can influence it; at most {MANY_SIGNALS} are worked out")
        key = parts, len(nodes), len(self.signals), tuple(self.outside), len(self.network.feedback)
        frame = self.frames.get(key)
        if frame is None:
            frame = self.frames[key] = Frame(*key)
        return frame, tuple(self.signals)

    def _signal(self, name: str) -> int:
        return self.signals.setdefault(name, len(self.signals))

    def _guard(self, branch: Branch) -> LocalGuard | None:
        if branch.guard is None:
            return None
        if self.variation.distrusted and branch.what == "contact" and branch.style == "electronic":
            return Local("signal", self._signal(f"{branch.key} made"))
        return localise(branch.guard, self._atoms(branch, branch.guard))

    def _atoms(self, branch: Branch, guard: Guard) -> dict[object, LocalGuard]:
        device = self.devices[branch.device]
        found: dict[object, LocalGuard] = {}
        for atom in atoms(guard):
            if atom.what == "signal":
                found[atom] = Local("signal", self._signal(device.signals[atom.name].key))
                continue
            key = atom_key(branch, atom)
            if self.variation.is_dead(branch.device):
                found[atom] = Constant(False)
            elif key in self.network.feedback:
                found[atom] = Local("state", self.network.feedback.index(key))
            else:
                found[atom] = self._outside(key)
        return found

    def _outside(self, key: str) -> LocalGuard:
        """A load or sense of another network: its truth over this frame's signals.

        Where it is uncertain, a signal of its own lets it be either. Where the network has a history, it changes in
        its own time, as the network's own coils do.
        """
        known = self.outside_number.get(key)
        if known is not None:
            return known
        truth = self.truth(key, self.variation)
        if isinstance(truth, str):
            raise Incomplete(truth)
        space, yes = truth.space, truth.yes
        if truth.maybe:
            unrest = self.unrest(key, self.variation)
            if unrest.yes:
                self.restless.append((f"{key} pulls in", unrest))
            space = Space((*space.signals, f"{key} pulls in"))
            yes = truth.over(space).yes | (truth.space.carry(truth.maybe, space) & space.on(space.signals[-1]))
        local: LocalGuard
        if not space.signals:
            local = Constant(bool(yes))
        else:
            number = len(self.outside)
            self.outside.append((tuple(self._signal(s) for s in space.signals), yes))
            inside = len(self.network.feedback)
            lags = inside > 0 and inside + number < MANY_COILS
            local = Local("state", inside + number) if lags else Local("outside", number)
        self.outside_number[key] = local
        return local
