"""A circuit as formulas over reals and Booleans, for a solver of satisfiability modulo theories (Z3).

Kirchhoff's laws at every node, Ohm's law in every wire and coil; a made contact has no volts across it and an open
one no amps; relays rest where their volts put them. Nothing is solved beforehand.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

import z3

from tests.proof.circuits import Drawing, Part

CONTACTS = {"NO": True, "NC": False}


class Formulas:
    """One circuit, all sources at the low end of their band; `unknown` signals and relays are Booleans."""

    def __init__(self, drawn: Drawing) -> None:
        self.solver = z3.SolverFor("QF_LRA")
        self.on = {name: z3.Bool(name) for name in [*drawn.signals, *drawn.relays]}
        self.volts: dict[str, z3.ArithRef] = {}
        into: dict[str, list[z3.ArithRef]] = defaultdict(list)
        for i, part in enumerate(drawn.parts):
            amps = z3.Real(f"amps {i}")
            into[part.a].append(-amps)
            into[part.b].append(amps)
            self._add(part, amps)
        for flows in into.values():
            self.solver.add(z3.Sum(flows) == 0)
        self.solver.add(self._node(next(p.b for p in drawn.parts if p.what == "source")) == 0)

    def _node(self, name: str) -> z3.ArithRef:
        return self.volts.setdefault(name, z3.Real(f"volts {name}"))

    def _add(self, part: Part, amps: z3.ArithRef) -> None:
        across = self._node(part.a) - self._node(part.b)
        match part.what:
            case "wire" | "coil":
                self.solver.add(across == amps * z3.RealVal(repr(part.size)))
            case "contact":
                self.solver.add(z3.If(self._made(part), across == 0, amps == 0))
            case "diode":
                conducts, blocks = z3.And(across == part.size, amps >= 0), z3.And(across <= part.size, amps == 0)
                self.solver.add(z3.Or(conducts, blocks))
            case "source":
                gives, blocks = z3.And(across == part.least, amps <= 0), z3.And(across >= part.least, amps == 0)
                self.solver.add(z3.If(self._made(part), z3.Or(gives, blocks), amps == 0))
        if part.relay:
            self.solver.add(self.on[part.relay] == self.energised(part))

    def energised(self, coil: Part) -> z3.BoolRef:
        """Whether a coil has its pull-in volts, whichever way round."""
        across = self._node(coil.a) - self._node(coil.b)
        return z3.Or(across >= coil.on_at, across <= -coil.on_at)

    def _made(self, part: Part) -> z3.BoolRef:
        device, _, name = part.key.partition(".")
        on = self.on
        if part.what == "source":
            mains = on[f"{device}.mains"]
            return mains if name == "main" else z3.And(on[f"{device}.reserve"], z3.Not(mains))
        side = CONTACTS[part.b.partition(":")[2][:2]]
        if device == "FA1":
            # Held in: made while the panel has power and there is no alarm.
            driven = z3.And(on["panel"], z3.Not(on["alarm"])) if "panel" in on else on["alarm"]
        else:
            driven = on[device if device in on else f"{device}.pressed"]
        return driven if side else z3.Not(driven)

    def can_be(self, coil: Part, energised: bool, given: Mapping[str, bool]) -> dict[str, bool] | None:
        """A condition, with the signals `given`, in which a coil has its pull-in volts or lacks them; None: never."""
        self.solver.push()
        self.solver.add(*(self.on[s] == v for s, v in given.items()))
        self.solver.add(self.energised(coil) == energised)
        try:
            verdict = self.solver.check()
            assert verdict != z3.unknown
            if verdict == z3.unsat:
                return None
            model = self.solver.model()
            return {name: bool(model.eval(b, model_completion=True)) for name, b in self.on.items()}
        finally:
            self.solver.pop()
