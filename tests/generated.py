"""Plans made up at random, from a seed: series, parallel and bridged loads, several supplies, relays, diodes.

They are built as the resolved plan, so that they test the engine alone. Some parts are turned round or joined
across the poles on purpose: a source then stands at its limit.
"""

from __future__ import annotations

from collections.abc import Mapping
from random import Random

from plancheck.plan.guard import All, AnyOf, Atom, Constant, Guard, Not
from plancheck.plan.model import Device, Plan, Primitive, Signal, Wire, WireEnd
from plancheck.source import Source, Span
from plancheck.units import Quantity, awg_area

SOURCE = Source("generated.plan", "generated\n")
AT = Span(SOURCE, 0, 9)

Data = Mapping[str, float | str | bool]


def generated_plan(rng: Random) -> Plan:
    """A plan of two to five junctions between the poles of one to three supplies."""
    return _Maker(rng).plan()


class _Maker:
    def __init__(self, rng: Random) -> None:
        self.rng = rng
        self.devices: dict[str, Device] = {}
        self.wires: list[Wire] = []
        self.volts = rng.choice([12.0, 24.0])
        self.poles: list[tuple[WireEnd, WireEnd]] = []
        self.points: list[WireEnd] = []
        self.signals = 0

    def plan(self) -> Plan:
        rng = self.rng
        for _ in range(rng.choice([1, 1, 1, 2, 2, 3])):
            self._supply()
        self.points = [self._end(self._device({"x": True}), "x") for _ in range(rng.randint(2, 5))]
        for point in self.points:
            self._wire(rng.choice(self.poles)[0], point) if rng.random() < 0.4 else None
        for first, second in zip(self.poles, self.poles[1:], strict=False):
            if rng.random() < 0.8:
                self._wire(first[1], second[1])
        for _ in range(rng.randint(3, 7)):
            rng.choice([self._load, self._load, self._relay, self._contact, self._diode, self._plain_wire])()
        for _ in range(rng.randint(1, 3)):
            self._load()
        return Plan(SOURCE, "Generated", "A", "", "us", (), 273.15, 313.15, self.devices, tuple(self.wires), ())

    # --- parts ---------------------------------------------------------------------------------------------

    def _supply(self) -> None:
        rng, volts = self.rng, self.volts
        data: dict[str, float | str | bool] = {"volts": volts, "amps": self._about(0.4, 1.0, 2.5, 5.0)}
        if rng.random() < 0.4:
            data |= {"least": volts * 0.875, "most": volts * 1.1375}
        signal = self._signal("mains", rests_on=True)
        name = self._device(
            {"+": True, "-": True},
            Primitive("source", "main", "+", "-", "", Atom("signal", "mains"), data),
            signals={"mains": signal},
        )
        self.poles.append((self._end(name, "+"), self._end(name, "-")))

    def _load(self) -> None:
        name = self._device({"+": True, "-": True}, self._drawing("part"))
        self._between(name, "+", "-")

    def _drawing(self, name: str) -> Primitive:
        rng = self.rng
        volts = self.volts if rng.random() < 0.9 else rng.choice([12.0, 24.0])
        data: dict[str, float | str | bool] = {"volts": volts, "polarised": rng.random() < 0.5}
        style = rng.choice(["coil", "coil", "electronic", "resistive"])
        if style == "electronic":
            data["watts"] = self._about(0.3, 0.9, 2.0, 6.0)
        elif style == "coil":
            data |= {"amps": self._about(0.04, 0.25, 0.5), "pull-in": 0.75 * volts, "drop-out": 0.1 * volts}
        else:
            data = {"ohms": self._about(47.0, 330.0, 2200.0)}
        return Primitive("load", name, "+", "-", style, None, data)

    def _relay(self) -> None:
        volts = self.volts
        coil = Primitive(
            "load",
            "coil",
            "A1",
            "A2",
            "coil",
            None,
            {
                "volts": volts,
                "amps": self._about(0.02, 0.06),
                "pull-in": 0.75 * volts,
                "drop-out": 0.1 * volts,
            },
        )
        energised = Atom("energised", "coil")
        guard: Guard = energised if self.rng.random() < 0.5 else Not(energised)
        contact = Primitive("contact", "COM-NO", "COM", "NO", "direct", guard, {})
        name = self._device(dict.fromkeys(("A1", "A2", "COM", "NO"), True), coil, contact)
        self._between(name, "A1", "A2")
        self._between(name, "COM", "NO", series=True)

    def _contact(self) -> None:
        first, second = Atom("signal", "s"), Atom("signal", "t")
        guards: list[Guard] = [
            first,
            Not(first),
            All((first, Not(second))),
            AnyOf((first, second)),
            All((first, Constant(True))),
        ]
        guard = self.rng.choice(guards)
        name = self._device(
            {"COM": True, "NO": True},
            Primitive("contact", "COM-NO", "COM", "NO", "direct", guard, {}),
            signals={s: self._signal(s) for s in ("s", "t")},
        )
        self._between(name, "COM", "NO", series=True)

    def _diode(self) -> None:
        drop = self.rng.choice([0.7, 0.7, 0.3])
        one_way = Primitive("one-way", "anode-cathode", "anode", "cathode", "", None, {"drop": drop})
        self._between(self._device({"anode": True, "cathode": True}, one_way), "anode", "cathode")

    def _plain_wire(self) -> None:
        self._wire(*self.rng.sample(self.points, 2))

    def _about(self, *sizes: float) -> float:
        """One of the usual sizes, a little off: no two loads alike, as two at the same amps in series have no
        answer where both are taken to draw them whatever the volts."""
        return self.rng.choice(sizes) * self.rng.uniform(0.9, 1.1)

    # --- how they are joined -------------------------------------------------------------------------------

    def _between(self, name: str, a: str, b: str, *, series: bool = False) -> None:
        """Wire two terminals to two places: junctions or poles, in either direction."""
        rng = self.rng
        plus, minus = rng.choice(self.poles)
        first = rng.choice([plus, *self.points])
        second = rng.choice(self.points if series else [minus, minus, *self.points])
        if rng.random() < 0.1:
            first, second = second, first
        self._wire(first, self._end(name, a))
        self._wire(self._end(name, b), second)

    def _wire(self, a: WireEnd, b: WireEnd) -> None:
        """A jumper, or a run of its own size and length."""
        rng, values = self.rng, {}
        if rng.random() < 0.7:
            values["length"] = Quantity(rng.choice([3.0, 12.5, 30.0, 61.0]), "length", "")
            values["area"] = Quantity(awg_area(rng.choice([16, 18, 22])), "area", "")
        self.wires.append(Wire(a, b, "", "", values, AT))

    def _signal(self, name: str, *, rests_on: bool = False) -> Signal:
        self.signals += 1
        return Signal(f"s{self.signals}", name, "command", rests_on, f"N{len(self.devices)}")

    def _device(
        self,
        terminals: Mapping[str, bool],
        *primitives: Primitive,
        signals: Mapping[str, Signal] | None = None,
    ) -> str:
        name = f"N{len(self.devices)}"
        self.devices[name] = Device(name, "part", "device", "", {}, {}, terminals, signals or {}, primitives, (), AT)
        return name

    @staticmethod
    def _end(device: str, terminal: str) -> WireEnd:
        return WireEnd(device, terminal, AT)
