"""What is kept of one plan for the next: shapes of networks, and what was solved."""

from __future__ import annotations

from plancheck.circuit.frame import Frame
from plancheck.circuit.states import PointSet


class Memory:
    """What plans have in common: frames by shape, and cores solved, by wiring and values. It may outlive a plan."""

    def __init__(self) -> None:
        self.frames: dict[object, Frame] = {}
        self.solved: dict[object, PointSet] = {}

    def thin_out(self, most: int) -> None:
        """Forget everything where there is more than that."""
        if len(self.frames) > most:
            self.frames.clear()
        if len(self.solved) > most:
            self.solved.clear()
