"""Rules about batteries: the sum that a finding shows is the sum by hand; what the plan says of a battery counts."""

from __future__ import annotations

import pytest

from tests.rulebook.shipped import findings, steps, value, verdicts

STANDBY = "electrical/battery-standby"


def plan(battery: str, load: str = "420 mA") -> str:
    return f"""
    ambient 20 degC to 35 degC
    supply PS1 {{ output 24 Vdc, 5 A; {battery} }}
    magnetic-lock ML1 {{ rated 24 Vdc, {load}; suppression built in }}
    wire PS1:+ to ML1:+
    wire ML1:- to PS1:-
    """


def needed(text: str) -> float:
    """Ah by the last step of the sum: the battery in it is far too small."""
    (finding,) = findings(STANDBY, text)
    return steps(finding)[-1][1]


def test_the_sum_of_a_printed_example() -> None:
    """P, a guide to NFPA 72: 0.42 A, 24 h, 3.8 A, 5 min: 10.08 Ah + 0.317 Ah = 10.397 Ah; here by 125 %: 12.996 Ah."""
    text = """
    supply PS1 { output 24 Vdc, 5 A; battery 12 Ah; standby 24 h, alarm for 5 min; kept above 25 degC }
    fire-alarm-relay FA1 { contacts 5 A at 30 Vdc }
    magnetic-lock ML1 { rated 24 Vdc, 420 mA; suppression built in }
    electric-bolt BT1 { rated 24 Vdc, 3.38 A; fails secure; suppression built in }
    wire PS1:+ to ML1:+ to FA1:COM
    wire FA1:NO to BT1:+
    wire ML1:- to BT1:- to PS1:-
    """
    (finding,) = findings(STANDBY, text)
    assert [number for _, number in steps(finding)] == pytest.approx(
        [420, 420, 10.08, 10.08, 3.8, 0.31667, 0.31667, 10.39667, 12.99583, 12.99583], abs=5e-4
    )
    assert value(finding, "× 125 % for ageing") == pytest.approx(12.996, abs=5e-4)
    assert findings(STANDBY, text.replace("battery 12 Ah", "battery 13 Ah")) == ()


@pytest.mark.parametrize(
    ("says", "ampere_hours"),
    [
        ("kept above 25 degC", 12.6),  # 0.42 A × 24 h × 1.25
        ("", 12.6 / 0.96),  # the plan's 20 degC: 5 K × 0.8 % are gone
        ("kept above 0 degC", 12.6 / 0.8),
        ("kept above 25 degC; aged to 70 %", 12.6 / 0.7),
        # 1 Ah over 20 h is 50 mA; 420 mA are 8.4 times that: 8.4^0.2 = 1.5306
        ("kept above 25 degC; peukert 1.2", 12.6 * 1.5306),
        # over 10 h: 4.2^0.2 = 1.3324
        ("kept above 25 degC; peukert 1.2; capacity over 10 h", 12.6 * 1.3324),
    ],
)
def test_what_the_plan_says_of_its_battery(says: str, ampere_hours: float) -> None:
    assert needed(plan(f"battery 1 Ah; standby 24 h; {says}")) == pytest.approx(ampere_hours, rel=1e-4)


def test_an_output_that_drops_is_drawn_from_no_longer() -> None:
    # 0.42 A × 1 h × 1.25 ÷ 0.96 = 0.547 Ah, of 0.5 Ah and of 0.6 Ah
    short = plan("battery 0.5 Ah; standby 24 h; drops output 1 h after loss of mains")
    assert needed(short) == pytest.approx(0.547, abs=5e-4)
    assert findings(STANDBY, short.replace("0.5 Ah", "0.6 Ah")) == ()


def test_a_stated_load_counts_and_is_held_to_what_is_always_drawn() -> None:
    assert findings(STANDBY, plan("battery 18 Ah; standby 24 h at 450 mA")) == ()
    (finding,) = findings(STANDBY, plan("battery 18 Ah; standby 24 h at 400 mA"))
    assert "more on standby than the plan states" in finding.headline
    assert value(finding, "drawn with the mains gone") == pytest.approx(420)


def test_nothing_left_of_a_battery_is_no_answer() -> None:
    (gap,) = verdicts(STANDBY, plan("battery 18 Ah; standby 24 h; aged to 0 %")).gaps
    assert "nothing is left of its cells" in gap.reason


@pytest.mark.parametrize("exponent", ["0.9", "0", "2.1", "5000000"])
def test_an_exponent_that_no_battery_has_is_no_answer(exponent: str) -> None:
    (gap,) = verdicts(STANDBY, plan(f"battery 18 Ah; standby 24 h; peukert {exponent}")).gaps
    assert "between 1.1 and 1.4" in gap.reason


def test_an_empty_battery_lasts_no_time() -> None:
    assert len(findings(STANDBY, plan("battery 0 Ah; standby 4 h; peukert 1.3"))) == 1


def test_without_a_standby_nothing_is_asked() -> None:
    assert findings(STANDBY, plan("battery 1 Ah")) == ()


def test_a_supply_beside_a_battery_of_its_own_has_one() -> None:
    text = """
    supply PS1 { output 27.2 Vdc, 5 A; standby 4 h }
    battery B1 { rated 24 Vdc, 7 Ah; standby 4 h }
    magnetic-lock ML1 { rated 24 Vdc, 420 mA; suppression built in }
    wire PS1:+ to B1:+ to ML1:+
    wire PS1:- to B1:- to ML1:-
    """
    assert findings(STANDBY, text) == ()
    (finding,) = findings(STANDBY, text.replace("wire PS1:- to B1:- to ML1:-", "wire PS1:- to ML1:-"))
    assert "has no battery" in finding.headline


def test_charging_counts_beside_the_load() -> None:
    # 420 mA + 600 mA of 1 A are too much, 420 mA + 580 mA are the rating.
    charged = plan("battery 7 Ah; charging 600 mA").replace("5 A", "1 A")
    (finding,) = findings("electrical/charging-counted", charged)
    assert value(finding, "420 mA + 600 mA") == pytest.approx(1.02)
    assert findings("electrical/charging-counted", charged.replace("600", "580")) == ()
    assert findings("electrical/supply-headroom", charged) == ()


ACROSS = """
supply PS1 { output 27.2 Vdc, 2 A; class 2; standby 24 h }
battery B1 { rated 24 Vdc, 100 mAh; own fuse 5 A; kept above 25 degC }
magnetic-lock ML1 { rated 24 Vdc, 400 mA; tolerates 20 Vdc to 28.5 Vdc; suppression built in }
wire PS1:+ to B1:+ to ML1:+
wire ML1:- to B1:- to PS1:-
"""


def test_a_battery_across_a_supply_is_reckoned_by_what_it_says_of_itself() -> None:
    # 0.4 A × 24 h × 1.25 = 12 Ah in the warm; by an age of 80 % 15 Ah; where it is 0 °C, by the supply, 15 Ah
    assert needed(ACROSS) == pytest.approx(12.0)
    assert needed(ACROSS.replace("own fuse 5 A;", "own fuse 5 A; aged to 80 %;")) == pytest.approx(15.0)
    cold = ACROSS.replace("; kept above 25 degC", "").replace("class 2;", "class 2; kept above 0 degC;")
    assert needed(cold) == pytest.approx(15.0)
    # 1 Ah over 20 h is 50 mA; 400 mA are 8 times that: 8^0.2 = 1.5157
    bent = ACROSS.replace("100 mAh", "1 Ah").replace("own fuse 5 A;", "own fuse 5 A; peukert 1.2;")
    assert needed(bent) == pytest.approx(12.0 * 1.5157, rel=1e-4)


def test_a_battery_across_a_supply_goes_on_when_the_supply_drops_its_output() -> None:
    dropped = ACROSS.replace("standby 24 h", "standby 24 h; drops output 10 min after loss of mains")
    assert needed(dropped) == pytest.approx(12.0)


DROPPED = """
ambient 25 degC to 35 degC
supply PS1 { output 24 Vdc, 5 A; battery 10 mAh; standby 24 h, alarm for 1 h; drops output 2 h after loss of mains }
fire-alarm-relay FA1 { contacts 5 A at 30 Vdc }
magnetic-lock ML1 { rated 24 Vdc, 400 mA; suppression built in }
electric-bolt BT1 { rated 24 Vdc, 1 A; fails secure; suppression built in }
wire PS1:+ to FA1:COM
wire FA1:NC to ML1:+
wire FA1:NO to BT1:+
wire ML1:- to BT1:- to PS1:-
"""


def test_standby_and_alarm_together_end_when_the_output_drops() -> None:
    # On alarm 1 A, else 400 mA: an hour of each is the worst, 1.4 Ah × 1.25.
    assert needed(DROPPED) == pytest.approx(1.75)
    # On alarm 100 mA: two hours of standby are, 0.8 Ah × 1.25; not 24 h of it, nor an hour of alarm on top.
    assert needed(DROPPED.replace("24 Vdc, 1 A", "24 Vdc, 100 mA")) == pytest.approx(1.0)
    # It drops within the hour: half an hour of alarm, 0.5 Ah × 1.25
    assert needed(DROPPED.replace("output 2 h", "output 30 min")) == pytest.approx(0.625)


def test_outputs_made_for_parallel_charge_and_carry_together() -> None:
    # 1.2 A and 500 mA twice, of 1 A twice; with 400 mA twice it is just the rating
    text = "".join(
        f"supply {name} {{ output 24 Vdc, 1 A; made for parallel; charging 500 mA; battery 7 Ah }}\n"
        for name in ("PS1", "PS2")
    )
    text += "magnetic-lock ML1 { rated 24 Vdc, 1.2 A; suppression built in }\n"
    text += "wire PS1:+ to PS2:+ to ML1:+\nwire ML1:- to PS1:- to PS2:-\n"
    (finding,) = findings("electrical/charging-counted", text)
    assert finding.subject == "PS1"
    assert value(finding, "1.2 A + 1 A") == pytest.approx(2.2)
    assert findings("electrical/charging-counted", text.replace("500", "400")) == ()
