"""Small circuits whose answer is worked out by hand beside each check."""

from __future__ import annotations

import pytest

from plancheck.circuit.variation import Variation
from tests.circuit.drawn import drawn, part, when

SUPPLY = 'supply PS1 "24 V" { output 24 Vdc, 2 A }\n'


def test_volts_of_a_lock_at_the_end_of_a_run() -> None:
    # 24 V, 240 mA: 100 ohm. 1.5 mm2, 40 m each way, 20 degC, solid: 2 x 40 / (58 x 1.5) = 0.919540 ohm.
    # Volts at the lock: 24 x 100 / 100.919540 = 23.781322.
    facts = drawn(
        "ambient 20 degC to 20 degC\n"
        + SUPPLY
        + "magnetic-lock ML1 { rated 24 Vdc, 240 mA }\n"
        + "cable C1 { conductors 2 of 1.5 mm2; length 40 m; solid }\n"
        + "wire PS1:+ to ML1:+ in C1/red\nwire ML1:- to PS1:- in C1/black\n"
    )
    coil = part(facts, "ML1.coil")
    mains_on = 1
    assert facts.volts(coil).at(mains_on) == pytest.approx(23.781322, abs=1e-5)
    # At constant rated current 0.24 A x 0.919540 ohm = 0.220690 V are lost, the worse of the two models.
    assert facts.drop_volts(coil).at(mains_on) == pytest.approx(0.220690, abs=1e-5)
    assert facts.least_volts(coil).at(mains_on) == pytest.approx(23.779310, abs=1e-5)
    assert facts.volts(coil).at(0) == 0.0


def test_two_locks_in_series_share_the_volts_and_neither_holds() -> None:
    # Equal locks: 12 V each of 24; pull-in at 75 % is 18 V, drop-out at 25 % is 6 V: uncertain.
    facts = drawn(
        SUPPLY
        + "magnetic-lock ML1 { rated 24 Vdc, 240 mA }\nmagnetic-lock ML2 { rated 24 Vdc, 240 mA }\n"
        + "wire PS1:+ to ML1:+\nwire ML1:- to ML2:+\nwire ML2:- to PS1:-\n"
    )
    assert facts.volts(part(facts, "ML1.coil")).at(1) == pytest.approx(12.0, abs=1e-4)
    assert when(facts.state("ML1", "secured"), PS1_mains=True) is None
    assert when(facts.fed(part(facts, "ML1.coil")), PS1_mains=True) is False


def test_an_electronic_load_takes_constant_power() -> None:
    # 24 V, 1 A: 24 W. Loop 2 ohm: V = (24 + sqrt(24^2 - 4 x 2 x 24)) / 2 = (24 + sqrt(384)) / 2 = 21.797959.
    facts = drawn(
        SUPPLY
        + "reader RD1 { rated 24 Vdc, 1 A }\n"
        + "cable C1 { conductors 2 of 1 mm2; length 100 m; resistance 10 ohm/km }\n"
        + "wire PS1:+ to RD1:power+ in C1/red\nwire RD1:power- to PS1:- in C1/black\n"
    )
    electronics = part(facts, "RD1.electronics")
    assert facts.volts(electronics).at(1) == pytest.approx(21.797959, abs=1e-5)


def test_a_reversed_diode_takes_the_supply_to_its_limit() -> None:
    # The diode holds 0.7 V; the supply gives its 2 A and no more; the lock of 100 ohm takes 7 mA of them.
    facts = drawn(
        SUPPLY
        + "magnetic-lock ML1 { rated 24 Vdc, 240 mA }\ndiode D1 { rated 400 V, 1 A }\n"
        + "wire PS1:+ to ML1:+\nwire ML1:- to PS1:-\nwire D1:anode to ML1:+\nwire D1:cathode to ML1:-\n"
    )
    diode = next(b for b in facts.branches("one-way"))
    assert facts.volts(part(facts, "ML1.coil")).at(1) == pytest.approx(0.7, abs=1e-3)
    assert facts.amps(diode).at(1) == pytest.approx(2.0 - 0.007, abs=1e-3)
    assert when(facts.conducting(diode), PS1_mains=True) is True
    assert [when(facts.shorted(c), PS1_mains=True) for c in facts.circuits()] == [True]


def test_a_diode_the_right_way_round_carries_nothing() -> None:
    facts = drawn(
        SUPPLY
        + "magnetic-lock ML1 { rated 24 Vdc, 240 mA }\ndiode D1 { rated 400 V, 1 A }\n"
        + "wire PS1:+ to ML1:+\nwire ML1:- to PS1:-\nwire D1:cathode to ML1:+\nwire D1:anode to ML1:-\n"
    )
    diode = next(b for b in facts.branches("one-way"))
    assert when(facts.conducting(diode), PS1_mains=True) is False
    assert [b.key for b in facts.across(part(facts, "ML1.coil"))] == [diode.key]
    assert [when(facts.shorted(c), PS1_mains=True) for c in facts.circuits()] == [False]


RELAY = "relay K1 { coil 24 Vdc, 20 mA; poles 2 }\n"


def test_a_relay_that_breaks_its_own_coil_never_rests() -> None:
    # The buzzer of every primer on relays (common practice, no source).
    facts = drawn(SUPPLY + RELAY + "wire PS1:+ to K1:COM1\nwire K1:NC1 to K1:A1\nwire K1:A2 to PS1:-\n")
    coil = part(facts, "K1.coil")
    assert when(facts.chattering(coil), PS1_mains=True) is True
    assert when(facts.chattering(coil), PS1_mains=False) is False
    assert when(facts.energised(coil), PS1_mains=True) is None


def test_a_relay_holds_itself_in_after_the_start_button() -> None:
    # Start/stop with seal-in, in every primer on relay control (common practice, no source): start pulls the coil
    # in, its own contact holds it after start is let go, stop or loss of power drops it for good.
    facts = drawn(
        SUPPLY
        + RELAY
        + "exit-button START { holds 1 s }\nexit-button STOP { holds 1 s }\n"
        + "wire PS1:+ to STOP:COM\nwire STOP:NC to START:COM to K1:COM1\n"
        + "wire START:NO to K1:A1\nwire K1:NO1 to K1:A1\nwire K1:A2 to PS1:-\n"
    )
    coil = facts.energised(part(facts, "K1.coil"))
    held = "K1.coil held in from before"
    assert set(coil.space.signals) == {"PS1.mains", "START.pressed", "STOP.pressed", held}
    on, start, stop, before = (coil.space.on(s) for s in ("PS1.mains", "START.pressed", "STOP.pressed", held))
    # Where it cannot have been held in from before, that signal makes no difference.
    assert coil.yes == on & ~stop & (start | before)
    assert coil.no == coil.space.everything & ~coil.yes
    quiet_but_held = {"PS1.mains": True, held: True}
    events = facts.events(part(facts, "K1.coil"), quiet_but_held)
    assert events == [("START.pressed", True), ("START.pressed", False)]
    assert facts.events(part(facts, "K1.coil"), {"PS1.mains": True}) == []


def test_a_relay_driving_a_relay_in_another_network() -> None:
    # K1 pulls in while the button is pressed; its NC then drops K2; K2's NO feeds the lock.
    facts = drawn(
        SUPPLY
        + "relay K1 { coil 24 Vdc, 20 mA }\nrelay K2 { coil 24 Vdc, 20 mA }\nexit-button EB1 { holds 30 s }\n"
        + "magnetic-lock ML1 { rated 24 Vdc, 240 mA }\n"
        + "wire PS1:+ to EB1:COM\nwire EB1:NO to K1:A1\nwire K1:A2 to PS1:-\n"
        + "wire PS1:+ to K1:COM\nwire K1:NC to K2:A1\nwire K2:A2 to PS1:-\n"
        + "wire PS1:+ to K2:COM\nwire K2:NO to ML1:+\nwire ML1:- to PS1:-\n"
    )
    assert [n.rank for n in facts.networks] == [0, 1, 2]
    secured = facts.state("ML1", "secured")
    assert when(secured, PS1_mains=True, EB1_pressed=False) is True
    assert when(secured, PS1_mains=True, EB1_pressed=True) is False
    assert when(secured, PS1_mains=False, EB1_pressed=False) is False


def test_a_coil_between_drop_out_and_pull_in_lets_its_contact_stand_either_way() -> None:
    # K1 and K2 in series get 12 V of 24: above 10 %, below 75 %.
    facts = drawn(
        SUPPLY
        + "relay K1 { coil 24 Vdc, 20 mA }\nrelay K2 { coil 24 Vdc, 20 mA }\n"
        + "magnetic-lock ML1 { rated 24 Vdc, 240 mA }\n"
        + "wire PS1:+ to K1:A1\nwire K1:A2 to K2:A1\nwire K2:A2 to PS1:-\n"
        + "wire PS1:+ to K1:COM\nwire K1:NO to ML1:+\nwire ML1:- to PS1:-\n"
    )
    secured = facts.state("ML1", "secured")
    assert set(secured.space.signals) == {"PS1.mains", "K1.coil pulls in"}
    held = secured.space.on("PS1.mains") & secured.space.on("K1.coil pulls in")
    assert secured.yes == held
    assert secured.no == secured.space.everything & ~held


def test_a_battery_backed_supply_has_a_band() -> None:
    # 24 V: 21.0 V at cut-off, 27.3 V on float (brief: 1.75 V and 2.275 V a cell; from memory).
    facts = drawn(
        'supply PS1 "24 V" { output 24 Vdc, 2 A; battery 7 Ah }\n'
        + "magnetic-lock ML1 { rated 24 Vdc, 240 mA }\nwire PS1:+ to ML1:+\nwire ML1:- to PS1:-\n"
    )
    coil = part(facts, "ML1.coil")
    least, most = facts.least_volts(coil), facts.greatest_volts(coil)
    on_battery = sum(1 << i for i, s in enumerate(least.space.signals) if s == "PS1.reserve")
    on_mains = sum(1 << i for i, s in enumerate(least.space.signals) if s == "PS1.mains")
    assert least.at(on_battery) == pytest.approx(21.0, abs=1e-4)
    assert least.at(on_mains) == pytest.approx(24.0, abs=1e-4)
    assert most.at(on_battery) == pytest.approx(27.3, abs=1e-4)


def test_a_second_supply_feeds_back_past_the_open_contact() -> None:
    # PS2 joined behind the alarm relay keeps the lock held though the alarm has opened PS1's feed.
    facts = drawn(
        SUPPLY
        + 'supply PS2 "24 V" { output 24 Vdc, 2 A }\nfire-alarm-relay FA1 { held in }\n'
        + "magnetic-lock ML1 { rated 24 Vdc, 240 mA }\n"
        + "wire PS1:+ to FA1:COM\nwire FA1:NO to ML1:+\nwire PS2:+ to ML1:+\n"
        + "wire ML1:- to PS1:- to PS2:-\n"
    )
    secured = facts.state("ML1", "secured")
    alarm = {"alarm": True} if "alarm" in secured.space.signals else {}
    others = {s: True for s in secured.space.signals if s not in ("alarm", "PS1.mains", "PS2.mains")}
    signals = {**alarm, **others, "PS1.mains": False, "PS2.mains": True}
    assert when(secured, **{k.replace(".", "_"): v for k, v in signals.items()}) is True


def test_one_wire_between_two_returns_carries_nothing() -> None:
    facts = drawn(
        SUPPLY
        + 'supply PS2 "24 V" { output 24 Vdc, 2 A }\nmagnetic-lock ML1 { rated 24 Vdc, 240 mA }\n'
        + "magnetic-lock ML2 { rated 24 Vdc, 240 mA }\n"
        + "wire PS1:+ to ML1:+\nwire ML1:- to PS1:-\nwire PS2:+ to ML2:+\nwire ML2:- to PS2:-\nwire PS1:- to PS2:-\n"
    )
    assert facts.state("ML1", "secured").space.signals == ("PS1.mains",)
    assert len(facts.networks) == 2


def test_what_the_electronics_do_is_free_when_distrusted() -> None:
    facts = drawn(
        SUPPLY
        + "radio-receiver RX1 { rated 24 Vdc, 45 mA; channels 1 }\nmagnetic-lock ML1 { rated 24 Vdc, 240 mA }\n"
        + "wire PS1:+ to RX1:power+ to RX1:COM\nwire RX1:NC to ML1:+\nwire ML1:- to PS1:-\nwire RX1:power- to PS1:-\n"
    )
    secured = facts.state("ML1", "secured", Variation(distrusted=True))
    assert "RX1.ch1" not in secured.space.signals
    assert any(s.startswith("RX1.COM") for s in secured.space.signals)


def test_demand_counts_each_circuit_at_its_worst() -> None:
    # Two locks of 240 mA behind one button each: at most 480 mA, with both made.
    facts = drawn(
        SUPPLY
        + "exit-button EB1 { holds 30 s }\nexit-button EB2 { holds 30 s }\n"
        + "magnetic-lock ML1 { rated 24 Vdc, 240 mA }\nmagnetic-lock ML2 { rated 24 Vdc, 240 mA }\n"
        + "wire PS1:+ to EB1:COM to EB2:COM\nwire EB1:NC to ML1:+\nwire EB2:NC to ML2:+\nwire ML1:- to ML2:- to PS1:-\n"
    )
    amps, _ = facts.greatest_amps(part(facts, "PS1.main"))
    assert amps == pytest.approx(0.48, abs=1e-5)


def test_path_runs_from_plus_through_the_lock_to_minus() -> None:
    facts = drawn(
        SUPPLY
        + "exit-button EB1 { holds 30 s }\nmagnetic-lock ML1 { rated 24 Vdc, 240 mA }\n"
        + "wire PS1:+ to EB1:COM\nwire EB1:NC to ML1:+\nwire ML1:- to PS1:-\n"
    )
    path = facts.path(part(facts, "ML1.coil"), {"PS1.mains": True, "EB1.pressed": False})
    assert path == ("PS1:+", "EB1:COM", "EB1:NC", "ML1:+", "ML1:-", "PS1:-")
    assert facts.path(part(facts, "ML1.coil"), {"PS1.mains": True, "EB1.pressed": True}) == ()


def test_dependence_comes_before_what_depends_on_it() -> None:
    from plancheck.plan.graph import in_dependence_order

    # 0 needs 1, 1 needs 2, 3 and 4 need each other and 0.
    groups = in_dependence_order(5, [(0, 1), (1, 2), (3, 4), (4, 3), (4, 0)])
    assert groups == [[2], [1], [0], [3, 4]]


def test_an_open_contact_stands_against_the_volts_it_breaks() -> None:
    # Nothing flows: the lock's side follows the minus pole through the coil, the other side is at 24 V.
    facts = drawn(
        SUPPLY
        + "exit-button EB1 { holds 30 s }\nmagnetic-lock ML1 { rated 24 Vdc, 240 mA }\n"
        + "wire PS1:+ to EB1:COM\nwire EB1:NC to ML1:+\nwire ML1:- to PS1:-\n"
    )
    contact = next(b for b in facts.branches("contact", "EB1") if b.b == "EB1:NC")
    volts = facts.volts(contact)
    pressed = volts.space.on("EB1.pressed") & volts.space.on("PS1.mains")
    assert [v for _, v in volts.within(pressed)] == [24.0]
    assert facts.volts(part(facts, "ML1.coil")).at(volts.space.size - 1) == 0.0


def test_twelve_doors_behind_one_alarm_contact_are_twelve_circuits() -> None:
    # A jumper and a made contact lose no volts: no door feels another's draw. Each has its own two signals.
    doors = "".join(
        f"exit-button EB{i} {{ holds 30 s }}\nmagnetic-lock ML{i} {{ rated 24 Vdc, 100 mA }}\n"
        f"wire FA1:NC to EB{i}:COM\nwire EB{i}:NC to ML{i}:+\nwire ML{i}:- to PS1:-\n"
        for i in range(12)
    )
    facts = drawn(SUPPLY + "fire-alarm-relay FA1 { contacts 2 A at 30 Vdc }\nwire PS1:+ to FA1:COM\n" + doors)
    assert len(facts.networks) == 12
    secured = facts.state("ML7", "secured")
    assert set(secured.space.signals) == {"alarm", "EB7.pressed", "PS1.mains"}
    assert when(secured, alarm=False, EB7_pressed=False, PS1_mains=True) is True
    assert when(secured, alarm=True, EB7_pressed=False, PS1_mains=True) is False
    # The alarm's contact carries all twelve: 1.2 A.
    contact = next(b for b in facts.branches("contact", "FA1") if b.b == "FA1:NC")
    assert facts.greatest_amps(contact)[0] == pytest.approx(1.2, abs=1e-6)
    assert facts.greatest_amps(part(facts, "PS1.main"))[0] == pytest.approx(1.2, abs=1e-6)


def test_a_return_that_a_contact_opens_keeps_its_locks_together() -> None:
    # The alarm breaks the common return: then a current could pass one lock backwards into another, so they stay
    # in one network, and on alarm both are without volts.
    facts = drawn(
        SUPPLY
        + "fire-alarm-relay FA1 { contacts 2 A at 30 Vdc }\nexit-button EB1 { holds 30 s }\n"
        + "magnetic-lock ML1 { rated 24 Vdc, 100 mA }\nmagnetic-lock ML2 { rated 24 Vdc, 100 mA }\n"
        + "wire PS1:+ to EB1:COM\nwire EB1:NC to ML1:+\nwire PS1:+ to ML2:+\n"
        + "wire ML1:- to FA1:COM\nwire ML2:- to FA1:COM\nwire FA1:NC to PS1:-\n"
    )
    for lock in ("ML1", "ML2"):
        secured = facts.state(lock, "secured")
        alarm = secured.space.on("alarm")
        assert secured.yes & alarm == 0
        assert secured.no & alarm == alarm


def test_a_contact_beside_a_jumper_carries_on_when_the_jumper_breaks() -> None:
    facts = drawn(
        SUPPLY
        + "fire-alarm-relay FA1 { contacts 2 A at 30 Vdc }\nexit-button EB1 { holds 30 s }\n"
        + "magnetic-lock ML1 { rated 24 Vdc, 100 mA }\nwire PS1:+ to FA1:COM\nwire FA1:NC to EB1:COM\n"
        + "wire PS1:+ to EB1:COM\nwire EB1:NC to ML1:+\nwire ML1:- to PS1:-\n"
    )
    broken = next(v for v in facts.failures.all if v.failure and v.failure.what == "wire PS1:+ to EB1:COM open")
    secured = facts.state("ML1", "secured", broken)
    assert when(secured, alarm=False, EB1_pressed=False, PS1_mains=True) is True
    assert when(secured, alarm=True, EB1_pressed=False, PS1_mains=True) is False


def test_of_two_relays_that_keep_each_other_out_either_may_win() -> None:
    # An interlock: each coil through the other's NC. Whichever is quicker stays in (a latch of two rests).
    facts = drawn(
        SUPPLY
        + "relay K1 { coil 24 Vdc, 20 mA; poles 2 }\nrelay K2 { coil 24 Vdc, 20 mA; poles 2 }\n"
        + "wire PS1:+ to K1:COM1\nwire K1:NC1 to K2:A1\nwire K2:A2 to PS1:-\n"
        + "wire PS1:+ to K2:COM1\nwire K2:NC1 to K1:A1\nwire K1:A2 to PS1:-\n"
    )
    first, second = (facts.energised(part(facts, f"{k}.coil")) for k in ("K1", "K2"))
    both, either = first & second, first | second
    on = both.space.on("PS1.mains")
    assert both.no == both.space.everything  # never both
    assert either.yes == on  # always one of them
    assert first.yes not in (0, on)  # and it is not told which
    assert facts.chattering(part(facts, "K1.coil")).yes == 0


def test_a_coil_between_its_limits_may_pull_in_its_own_contact_or_not() -> None:
    # K1 and K2 in series, 12 V each: K1 may or may not pull in, and with it the lock that its contact feeds.
    facts = drawn(
        SUPPLY
        + "relay K1 { coil 24 Vdc, 20 mA }\nrelay K2 { coil 24 Vdc, 20 mA }\n"
        + "magnetic-lock ML1 { rated 24 Vdc, 240 mA }\ncable C1 { conductors 2 of 1.5 mm2; length 10 m }\n"
        + "wire PS1:+ to K1:COM in C1/red\nwire K1:COM to K1:A1\nwire K1:A2 to K2:A1\nwire K2:A2 to PS1:-\n"
        + "wire K1:NO to ML1:+\nwire ML1:- to PS1:-\n"
    )
    secured = facts.state("ML1", "secured")
    on = secured.space.on("PS1.mains")
    assert secured.yes & on not in (0, on)
    assert secured.no & ~on == secured.space.everything & ~on


def test_demand_on_a_supply_that_is_too_small_is_what_its_loads_are_rated_for() -> None:
    # 240 mA and 100 mA on a supply of 200 mA: asked of it are 340 mA, though it gives but 200.
    facts = drawn(
        "supply PS1 { output 24 Vdc, 200 mA }\n"
        + "magnetic-lock ML1 { rated 24 Vdc, 240 mA }\nreader RD1 { rated 24 Vdc, 100 mA }\nfuse F1 { rated 1 A }\n"
        + "cable C1 { conductors 2 of 18 AWG; length 10 ft }\nwire PS1:+ to F1:1 in C1/red\n"
        + "wire F1:2 to ML1:+ to RD1:power+\nwire ML1:- to RD1:power- to PS1:-\n"
    )
    assert facts.greatest_amps(part(facts, "PS1.main"))[0] == pytest.approx(0.34, abs=1e-9)


def test_a_short_in_one_circuit_takes_the_volts_from_every_other() -> None:
    # The button joins the poles: the supply gives its 2 A into it and no lock on it holds.
    facts = drawn(
        SUPPLY
        + "exit-button EB1 { holds 30 s }\nmagnetic-lock ML1 { rated 24 Vdc, 240 mA }\n"
        + "cable C1 { conductors 2 of 18 AWG; length 50 ft }\n"
        + "wire PS1:+ to EB1:COM in C1/red\nwire EB1:NO to PS1:-\nwire PS1:+ to ML1:+\nwire ML1:- to PS1:-\n"
    )
    secured = facts.state("ML1", "secured")
    assert when(secured, PS1_mains=True, EB1_pressed=False) is True
    assert when(secured, PS1_mains=True, EB1_pressed=True) is False
