"""Devices: values in SI, electrical parts by what the plan gives. Expected values are worked out by hand."""

from __future__ import annotations

import pytest

from plancheck.plan.guard import All, AnyOf, Atom, Constant, Not
from plancheck.plan.model import Sighting
from plancheck.units import Quantity
from tests.plan.drawn import draw, sound


def test_values_are_quantities_choices_texts_and_flags() -> None:
    plan = sound('magnet ML1 "Rear" { rated 24 Vdc, 250 mA; mounted 44 in above floor; suppression built in }')
    lock = plan.devices["ML1"]
    assert (lock.name, lock.kind, lock.base, lock.title) == ("ML1", "magnet", "lock", "Rear")
    assert lock.values["rated-volts"] == Quantity(24.0, "voltage", "24 Vdc", "dc")
    assert lock.values["rated-amps"] == Quantity(0.25, "current", "250 mA")
    assert lock.values["height"] == Quantity(pytest.approx(44 * 0.0254), "length", "44 in")
    assert lock.values["suppression-built-in"] is True
    assert "distance" not in lock.values
    assert lock.get("keeps-latch") is False
    assert lock.get("nothing") is None


def test_every_other_type_of_slot() -> None:
    door = sound(
        "magnet A { rated 1 V, 1 A }\nmagnet B { rated 1 V, 1 A }\ndoor D { on exit path; egress delayed 15 s; "
        'claimed under "IBC"; locks A, B; tags x, y; tags z; surveyed 2026-02-28; angle -1.5; share 5 %; '
        "outside -40 degF }"
    ).devices["D"]
    assert door.values["place"] == "on exit path"
    assert door.values["egress"] == "delayed"
    assert door.values["delay"] == Quantity(15.0, "time", "15 s")
    assert door.values["clause"] == "IBC"
    assert door.values["locks"] == ("A", "B")
    assert door.values["tags"] == ("x", "y", "z")
    assert door.values["surveyed"] == "2026-02-28"
    assert door.values["angle"] == Quantity(-1.5, "number", "-1.5")
    assert door.values["share"] == Quantity(0.05, "ratio", "5 %")
    outside = door.values["outside"]
    assert isinstance(outside, Quantity)
    assert outside.value == pytest.approx(273.15 - 40)  # -40 degF is -40 degC


def test_where_things_stand() -> None:
    lock = sound("# note\n  magnet ML1 { rated 24 Vdc, 250 mA; drop-out 6 V }").devices["ML1"]
    assert lock.at.text == "magnet ML1"
    assert {slot: span.text for slot, span in lock.value_at.items()} == {
        "rated-volts": "24 Vdc",
        "rated-amps": "250 mA",
        "drop-out-volts": "6 V",
    }
    assert lock.value_at["drop-out-volts"].line == 2


def test_settings_become_si_numbers() -> None:
    [coil] = sound("magnet ML1 { rated 24 Vdc, 250 mA; suppression built in }").devices["ML1"].primitives
    # drop-out is not given: a quarter of 24 V
    assert coil.data == {"volts": 24.0, "form": "dc", "amps": 0.25, "drop-out": 6.0, "suppressed": True}
    [coil] = sound("magnet ML1 { rated 12 V, 6 W; drop-out 2 V }").devices["ML1"].primitives
    assert coil.data == {"volts": 12.0, "watts": 6.0, "drop-out": 2.0}
    assert (coil.what, coil.name, coil.a, coil.b, coil.style, coil.guard) == ("load", "coil", "+", "-", "coil", None)


def test_members_that_are_there_only_if_a_value_is_given() -> None:
    bare = sound("feed PS1 { output 24 Vdc, 2 A }").devices["PS1"]
    assert list(bare.signals) == ["mains"]
    [main] = bare.primitives
    assert main.data == {"volts": 24.0, "form": "dc", "amps": 2.0}
    assert main.guard == Atom("signal", "mains")
    stored = sound("feed PS1 { output 24 Vdc, 2 A; store 7 Ah; earthed }").devices["PS1"]
    assert list(stored.signals) == ["mains", "store"]
    main, spare = stored.primitives
    assert main.data == {"volts": 24.0, "form": "dc", "most": 27.3, "amps": 2.0}  # 113.75 % of 24 V
    assert spare.data == {"volts": 24.0, "form": "dc", "least": 21.0}  # 87.5 % of 24 V
    assert spare.guard == All((Atom("signal", "store"), Not(Atom("signal", "mains"))))
    assert stored.signals["mains"].key == "PS1.mains"
    assert stored.signals["mains"].says == "mains of PS1"
    assert stored.signals["mains"].rests_on
    assert stored.signals["mains"].device == "PS1"


def test_a_state_by_a_choice() -> None:
    def state(fails: str) -> object:
        return sound(f"keeper K {{ rated 24 V, 1 A; fails {fails} }}").devices["K"].states[0].guard

    assert state("secure") == Not(Atom("energised", "coil"))
    assert state("safe") == Atom("energised", "coil")


def test_members_that_repeat() -> None:
    two = sound("board B { channels 2; contacts 5 A at 30 Vdc }").devices["B"]
    assert two.terminals == {
        "power+": True, "power-": True,
        "COM1": False, "NC1": False, "NO1": False, "COM2": False, "NC2": False, "NO2": False,
    }  # fmt: skip
    assert [s.key for s in two.signals.values()] == ["B.ch1", "B.ch2"]
    assert two.signals["ch2"].says == "channel 2 of B"
    _, no1, nc1, no2, _ = two.primitives
    assert (no1.name, no2.name) == ("COM1-NO1", "COM2-NO2")
    assert no1.data == {"amps": 5.0, "volts": 30.0, "form": "dc"}
    assert no2.guard == All((Atom("energised", "electronics"), Atom("signal", "ch2")))
    assert nc1.guard == AnyOf((Not(Atom("signal", "ch1")), Not(Atom("energised", "electronics"))))
    assert (no1.style, nc1.style) == ("electronic", "direct")


def test_one_alone_bears_no_number_at_its_terminals() -> None:
    one = sound("board B { channels 1 }").devices["B"]
    assert list(one.terminals) == ["power+", "power-", "COM", "NC", "NO"]
    assert list(one.signals) == ["ch1"]
    assert one.primitives[1].name == "COM-NO"
    assert list(sound("board B { channels 0 }").devices["B"].terminals) == ["power+", "power-"]


def test_a_signal_or_input_that_a_device_lacks_is_off() -> None:
    board = sound("input-board B { inputs 1 }").devices["B"]
    assert board.states[0].guard == AnyOf((Atom("made", "in1"), Constant(False)))
    assert board.primitives[0].data == {"safety": True, "commands": "stop", "wants": "open"}


def test_a_shared_signal_is_one_for_the_plan() -> None:
    plan = sound("alarm-contact A\nalarm-contact B")
    keys = {s.key for d in plan.devices.values() for s in d.signals.values()}
    assert keys == {"alarm"}
    assert plan.devices["A"].signals["alarm"].device == ""
    assert plan.devices["A"].signals["alarm"].says == "fire alarm on"


def test_attributes_given_again_and_again() -> None:
    plan = sound(
        "board RX { channels 2; channel 1 timed 8 s; channel 2 latched }\n"
        "sender TX { buttons 2; button 1 works RX:ch1; button 2 works RX:ch2 }"
    )
    channels = plan.devices["RX"].values["channel"]
    assert isinstance(channels, tuple)
    first, second = channels
    assert isinstance(first, Sighting)
    assert isinstance(second, Sighting)
    assert first.values == {"n": 1.0, "mode": "timed", "hold": Quantity(8.0, "time", "8 s")}
    assert second.values == {"n": 2.0, "mode": "latched"}
    assert first.at.text == "channel 1 timed 8 s"
    buttons = plan.devices["TX"].values["button"]
    assert [b.values["channel"] for b in buttons if isinstance(b, Sighting)] == ["RX.ch1", "RX.ch2"]  # type: ignore[union-attr]


def test_a_terminal_as_a_value() -> None:
    assert (
        sound("sender TX { buttons 1; beside PS:+ }\nfeed PS { output 1 V, 1 A }").devices["TX"].values["terminal"]
        == "PS:+"
    )


def test_a_house_device_gives_its_data() -> None:
    plan = sound('device "our lock" is a magnet {\n  rated 24 Vdc, 500 mA\n}\n"our lock" ML7 "Lobby" { drop-out 6 V }')
    lock = plan.devices["ML7"]
    assert (lock.kind, lock.preset, lock.title) == ("magnet", "our lock", "Lobby")
    assert lock.primitives[0].data == {"volts": 24.0, "form": "dc", "amps": 0.5, "drop-out": 6.0}
    assert {slot: span.line for slot, span in lock.value_at.items()} == {
        "rated-volts": 2,
        "rated-amps": 2,
        "drop-out-volts": 4,
    }


def test_a_house_device_may_give_part_and_repeat() -> None:
    plan = sound('"b" B { channel 2 timed 2 s }\ndevice "b" is a board { channels 2; channel 1 latched }')
    channels = plan.devices["B"].values["channel"]
    assert [(c.values["n"], c.at.text) for c in channels if isinstance(c, Sighting)] == [  # type: ignore[union-attr]
        (1.0, "channel 1 latched"),
        (2.0, "channel 2 timed 2 s"),
    ]


def test_equal_blocks_are_built_once_and_kept_apart() -> None:
    plan = sound("feed A { output 1 V, 1 A }\nfeed B { output 1 V, 1 A }")
    a, b = plan.devices.values()
    assert a.primitives is b.primitives
    assert a.signals["mains"].key != b.signals["mains"].key
    assert a.value_at["output-volts"].line == 1
    assert b.value_at["output-volts"].line == 2


def test_devices_stand_in_the_order_of_the_plan() -> None:
    plan, _ = draw(
        "door D\nfeed P { output 1 V, 1 A }\ncable C { conductors 2 of 18 AWG; length 10 ft }\nalarm-contact A"
    )
    assert list(plan.devices) == ["D", "P", "C", "A"]
    assert [d.name for d in plan.with_base("cable")] == ["C"]
