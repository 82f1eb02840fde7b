"""Words about powered gates: judged on drawings worked out by hand."""

from __future__ import annotations

from datetime import date

import pytest

from plancheck.circuit.facts import Facts
from plancheck.circuit.loops import acts, bridged, commanding, on_loop, resistance
from plancheck.circuit.variation import Failure, Variation
from plancheck.library.load import load_library
from plancheck.plan.graph import Branch
from plancheck.plan.resolve import resolve
from plancheck.rulebook.judge import Verdicts, judge
from plancheck.rulebook.load import load_rules
from plancheck.rulebook.naming import devices_behind
from plancheck.rulebook.parts_of_gates import controls_of, zones_of
from plancheck.source import Source
from tests.rulebook.small import rule_text

# An eye on an input that wants its loop closed at rest, an edge strip on one that wants to see 8.2 kohm.
PARTS = """
plan "gate words"
gate-operator GO1 { safety inputs 1; edge inputs 1 of 8.2 kohm; accessories 24 Vdc, 500 mA; inherent protection }
photo-eye PE1 { rated 24 Vdc, 60 mA; contacts 500 mA at 30 Vdc }
resistive-edge RE1 { end resistor 8.2 kohm }
radio-receiver RX1 { channels 2; channel 1 latched; channel 2 timed 5 s; rated 24 Vdc, 45 mA; contacts 5 A at 30 Vdc }
relay K1 { coil 24 Vdc, 40 mA; contacts 5 A at 30 Vdc; suppression built in }
push-button SB1 { contacts 3 A at 30 Vdc }
vehicle-loop VL1 { rated 24 Vdc, 40 mA; contacts 1 A at 30 Vdc }
gate G1 {
    operator GO1
    zone "opening" closing protected by PE1
    zone "pocket" opening screened off
    zone "opening" closing protected by RE1
    control SB1 2 m away, unseen
    control VL1
}
wire GO1:acc+ to PE1:power+ to RX1:power+ to VL1:power+ to RX1:COM1
wire GO1:acc- to PE1:power- to RX1:power- to VL1:power- to K1:A2
wire GO1:SAFE to PE1:NO
wire PE1:COM to GO1:COM
"""
# The first channel pulls in K1, which opens the gate; the second stands beside it.
WIRES = """
wire RX1:NO1 to K1:A1
wire K1:NO to GO1:OPEN
wire K1:COM to GO1:COM
wire RX1:COM2 to GO1:COM
wire RX1:NO2 to GO1:OPEN
wire GO1:STOP to SB1:NC
wire SB1:COM to GO1:COM
wire GO1:EDGE to RE1:1
wire RE1:2 to GO1:COM
"""


def facts(text: str = PARTS + WIRES) -> Facts:
    plan, mistakes = resolve(Source("g.plan", text), load_library([]).kinds, lambda name, by: "nothing to use here")
    assert [m.headline for m in mistakes] == []
    return Facts(plan)


def sense(of: Facts, terminal: str) -> Branch:
    return next(b for b in of.branches("sense", "GO1") if b.a == f"GO1:{terminal}")


def verdicts(rule: str, text: str = PARTS + WIRES, severity: str = "error") -> Verdicts:
    head = rule_text(rule, severity=severity)
    rules, mistakes = load_rules([Source("t.rules", f"pack test\n{head}")], load_library([]).kinds)
    assert [f"{m.headline} {m.found}" for m in mistakes] == []
    return judge(rules, facts(text), date(2026, 11, 25))


def subjects(rule: str, text: str = PARTS + WIRES) -> list[str]:
    found = verdicts(rule, text)
    assert found.gaps == ()
    return [finding.subject for finding in found.findings]


# --- zones and controls ------------------------------------------------------------------------------------


def test_lines_of_one_name_and_direction_are_one_zone() -> None:
    assert subjects("for each zone Z of gate G\nrequire no") == [
        "zone “opening” of G1, closing",
        "zone “pocket” of G1, opening",
    ]
    named = "for each gate G\nrequire some zone Z of G, device P in Z.protection: P.name is RE1 and Z.name is opening"
    assert subjects(named) == []


@pytest.mark.parametrize(
    ("operator", "zone", "kinds"),
    [
        ("inherent protection", "protected by PE1, RE1", 3),
        ("", "protected by PE1, RE1", 2),
        ("inherent protection", "protected by PE1", 2),
        ("inherent protection; constant pressure only", "", 2),
        ("", "protected by PE1, PE2", 1),
        ("", "protected by VL1", 0),
        ("", "screened off", 0),
    ],
)
def test_kinds_of_protection_are_counted_once_each(operator: str, zone: str, kinds: int) -> None:
    text = f"""
        plan "kinds"
        gate-operator GO1 {{ safety inputs 1; {operator} }}
        photo-eye PE1 {{ rated 24 Vdc, 60 mA }}
        photo-eye PE2 {{ rated 24 Vdc, 60 mA }}
        resistive-edge RE1 {{ end resistor 8.2 kohm }}
        vehicle-loop VL1 {{ rated 24 Vdc, 40 mA }}
        gate G1 {{ operator GO1; zone "leaf" closing {zone} }}
    """.replace("        ", "")
    assert subjects(f"for each zone Z\nrequire Z.kinds >= {kinds} and Z.kinds <= {kinds}", text) == []


def test_a_zone_says_which_kinds() -> None:
    rule = "for each zone Z\nwhere Z.direction is closing\nrequire Z.screened-off\nfound {Z.means}"
    (finding,) = verdicts(rule.replace("{Z.means}", '"{Z.means}"')).findings
    assert finding.found == "inherent, beam, edge"


def test_a_control_says_how_far_and_whether_the_gate_is_seen() -> None:
    near = "for each control K of gate G\nwhere K.distance is given\nrequire K.distance <= 1.9 m"
    assert subjects(near) == ["SB1"]
    assert subjects("for each control K\nrequire K.distance is given") == ["VL1"]
    assert subjects("for each control K\nrequire K.sight is seen") == ["SB1", "VL1"]
    assert subjects("for each control K\nwhere K.device.worked-by-hand\nrequire K.gate.operator is not given") == [
        "SB1"
    ]


def test_a_control_may_be_seen_from_and_have_no_distance() -> None:
    text = PARTS.replace("control VL1", "control VL1, seen") + WIRES
    assert subjects("for each control K\nwhere K.distance is not given\nrequire K.sight is unseen", text) == ["VL1"]


def test_a_variance_may_name_the_gate_or_the_control() -> None:
    found = facts()
    gate = found.plan.devices["G1"]
    assert [devices_behind(c) for c in controls_of(gate)] == [("G1", "SB1"), ("G1", "VL1")]
    assert [devices_behind(z) for z in zones_of(gate)] == [("G1",), ("G1",)]
    assert [z.key for z in zones_of(gate)] == ["G1 zone opening closing", "G1 zone pocket opening"]


def test_protection_named_in_a_zone_is_named_by_the_gate() -> None:
    rule = "for each device D\nwhere D.named-by >= 1\nrequire D.name is nobody"
    assert set(subjects(rule)) == {"GO1", "PE1", "RE1", "SB1", "VL1"}


# --- inputs ------------------------------------------------------------------------------------------------


def test_an_input_acts_as_it_wants() -> None:
    for terminal, when in (("SAFE", "PE1"), ("EDGE", "RE1")):
        rule = f"for each input I, device P\nwhere I.safety and P.name is {when} and P in I.touching"
        rule = rule.replace(" and P in I.touching", f" and I.wanted-resistance is {'not ' * (terminal == 'SAFE')}given")
        assert subjects(rule + "\nrequire in every condition where P obstructed: I acts") == []
    assert subjects("for each input I\nwhere I.safety\nrequire in some condition: not I acts") == []


def test_a_strip_with_a_resistor_is_told_from_a_break_and_from_a_short() -> None:
    """By hand: at rest 8.2 kohm are seen; pressed, 0; a wire off, no end of ohms. Only the first is quiet."""
    found = facts()
    edge = sense(found, "EDGE")
    assert resistance(found, edge) == 8200.0
    pressed = acts(found, edge)
    assert (pressed.yes, pressed.no) == (pressed.space.on("RE1.pressed"), ~pressed.space.on("RE1.pressed") & 0b11)
    off = next(b for b in found.branches("conductor") if b.a == "GO1:EDGE")
    broken = acts(found, edge, Variation(failure=Failure("conductor open", "off", (off.key,), frozenset((off.key,)))))
    assert broken.yes == broken.space.everything
    touch = Failure("conductors shorted", "touch", (off.key,), joined=("GO1:EDGE", "GO1:COM"))
    shorted = acts(found, edge, Variation(failure=touch))
    assert shorted.yes == shorted.space.everything


def test_an_input_that_wants_closed_acts_when_it_is() -> None:
    text = PARTS.replace("safety inputs 1;", "safety inputs 1; acts on closed safety loop;").replace("PE1:NO", "PE1:NC")
    rule = "for each input I, device P in I.touching\nwhere I.safety and P.protects-by is beam\n"
    assert subjects(rule + "require in every condition where P obstructed: I acts", text) == []
    held_in = text.replace("PE1:NC", "PE1:NO")
    assert subjects(rule + "require in every condition where P obstructed: I acts", held_in) == ["PE1"]


def test_metal_past_the_resistor_is_a_bridge() -> None:
    found = facts(PARTS + WIRES + "wire SB1:NO to RE1:1\n")
    truth = bridged(found, sense(found, "EDGE"))
    pressed = truth.space.on("RE1.pressed") | truth.space.on("SB1.pressed")
    assert (truth.yes, truth.no) == (pressed, truth.space.everything & ~pressed)


def test_a_short_to_another_input_bridges_by_way_of_its_contacts() -> None:
    """By hand: the strip's wire touches that of the open input, which the second channel or K1 joins to the common."""
    found = facts()
    wire = next(b for b in found.branches("conductor") if b.b == "RE1:1")
    touch = Failure("conductors shorted", "touch", (wire.key,), joined=("RE1:1", "GO1:OPEN"))
    truth = bridged(found, sense(found, "EDGE"), Variation(failure=touch))
    drawn = bridged(found, sense(found, "EDGE"))
    assert drawn.space.signals == ("RE1.pressed",)
    opened = found.made(sense(found, "OPEN")).over(truth.space)
    pressed = drawn.over(truth.space)
    assert truth.yes == opened.yes | pressed.yes


def test_what_stands_past_a_resistor_touches_the_input() -> None:
    """A receiver behind the resistor at the end of the line still acts on the input."""
    text = PARTS + "resistor R1 { value 8.2 kohm }\nwire GO1:EDGE to R1:1\nwire R1:2 to RE1:1\nwire RE1:2 to GO1:COM\n"
    behind = text + "wire RX1:NO2 to RE1:1\nwire RX1:COM2 to GO1:COM\n"
    rule = (
        "for each input I, device T in I.touching\nwhere I.wants is resistance\nrequire T.name is R1 or T.name is RE1"
    )
    assert subjects(rule, text) == []
    assert len(subjects(rule, behind)) == 1
    found = facts(text)
    assert resistance(found, sense(found, "EDGE")) == 16400.0


def test_what_commands_an_input_is_followed_through_relays() -> None:
    found = facts()
    assert [c.key for c in commanding(found, sense(found, "OPEN"))] == ["RX1.COM2-NO2", "K1.COM-NO", "RX1.COM1-NO1"]
    assert [c.key for c in commanding(found, sense(found, "STOP"))] == ["SB1.COM-NC"]
    assert commanding(found, sense(found, "CLOSE")) == []


def test_a_loop_is_what_lies_between_its_terminals() -> None:
    found = facts()
    assert [b.what for b in on_loop(found, sense(found, "EDGE"))] == ["load", "contact"]
    assert resistance(found, sense(found, "SAFE")) == 0.0


def test_a_common_that_runs_from_device_to_device_puts_none_of_them_on_another_loop() -> None:
    """Two contacts side by side, whose commons are a link of the chain from the stop button to the operator."""
    text = (
        PARTS
        + """
wire GO1:COM to RX1:COM2 to VL1:COM to SB1:COM
wire GO1:OPEN to RX1:NO2 to VL1:NO
wire GO1:STOP to SB1:NC
"""
    )
    found = facts(text)
    assert [c.key for c in commanding(found, sense(found, "STOP"))] == ["SB1.COM-NC"]
    assert [c.key for c in commanding(found, sense(found, "OPEN"))] == ["RX1.COM2-NO2", "VL1.COM-NO"]


def test_the_mode_of_a_channel_is_that_of_the_contact_it_moves() -> None:
    rule = "for each contact C of device R\nwhere R.name is RX1 and C.mode is {}\nrequire C.device.name is nobody"
    assert subjects(rule.format("latched")) == ["RX1 COM1–NO1", "RX1 COM1–NC1"]
    assert subjects(rule.format("timed")) == ["RX1 COM2–NO2", "RX1 COM2–NC2"]
    assert subjects("for each contact C of device R\nwhere R.name is K1\nrequire C.mode is given")[:1] == ["K1 COM–NC"]


def test_nothing_gets_in_the_way_of_a_push_button() -> None:
    found = verdicts("for each device B\nwhere B.name is SB1\nrequire in every condition: not B obstructed")
    assert found.findings == ()
    assert [gap.reason for gap in found.gaps] == ["nothing that gets in the way of SB1 is a signal of the plan"]


# --- the operator's own parts ------------------------------------------------------------------------------


def test_an_operator_drives_only_while_it_has_power() -> None:
    pressed = PARTS + "wire SB1:COM to GO1:COM\nwire SB1:NO to GO1:OPEN\n"
    told = "for each device T\nwhere T.name is GO1\nrequire in every condition where T told-to-open: T drives-open"
    assert subjects(told, pressed) == ["GO1"]
    assert subjects(told.replace("told-to-open:", "told-to-open and T mains:"), pressed) == []
    backed = pressed.replace("inherent protection", "inherent protection; battery backed")
    assert subjects(told.replace("told-to-open:", "told-to-open and T mains:"), backed) == []
    assert subjects(told.replace("told-to-open:", "told-to-open and T reserve:"), backed) == []


def test_the_lock_output_acts_at_the_command() -> None:
    """By hand: a magnet on its NC is held until the operator is told to open, and while it is not."""
    text = PARTS.replace(
        "inherent protection", "inherent protection; lock output 1 A at 30 Vdc; starts 1 s after its command"
    )
    text += """
supply PS1 { output 24 Vdc, 1 A }
magnetic-lock ML1 { rated 24 Vdc, 250 mA; suppression built in }
wire SB1:COM to GO1:COM
wire SB1:NO to GO1:OPEN
wire PS1:+ to GO1:LOCK-COM
wire GO1:LOCK-NC to ML1:+
wire ML1:- to PS1:-
"""
    rule = "for each lock L, device T\nwhere T.start-delay is given\n"
    assert subjects(rule + "require in every condition where T told-to-open: L released", text) == []
    assert len(subjects(rule + "require in every condition: L released", text)) == 1


@pytest.mark.parametrize(
    ("lines", "screened", "said"),
    [
        (["screened off"], True, True),
        (["screened off", "screened off"], True, True),
        (["protected by PE1", "screened off"], False, True),
        (["protected by PE1"], False, False),
    ],
)
def test_a_zone_is_screened_off_where_each_line_says_so(lines: list[str], screened: bool, said: bool) -> None:
    zones = "; ".join(f'zone "leaf" closing {line}' for line in lines)
    text = f'plan "screens"\nphoto-eye PE1 {{ rated 24 Vdc, 60 mA }}\ngate G1 {{ {zones} }}\n'
    assert (subjects("for each zone Z\nrequire Z.screened-off", text) == []) is screened
    assert (subjects("for each zone Z\nrequire Z.said-screened-off", text) == []) is said


def test_a_sensor_sees_who_walks_up_and_a_button_does_not() -> None:
    text = 'plan "seen"\nexit-sensor XS1 { rated 24 Vdc, 35 mA }\npush-button SB1 { contacts 3 A at 30 Vdc }\n'
    assert subjects("for each device T\nrequire T.sees-approach", text) == ["SB1"]
