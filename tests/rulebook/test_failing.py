"""`after any single failure`: on small drawn plans, with the failures that must be found listed by hand."""

from __future__ import annotations

from datetime import date

import pytest

from plancheck.finding import Finding, Mistake
from plancheck.rulebook.judge import Verdicts, judge
from plancheck.rulebook.load import load_rules
from plancheck.source import Source
from tests.circuit.drawn import drawn, shipped_kinds
from tests.rulebook.small import rule_text

SITUATIONS = """
situation every way out { alarm on; exit on; approach on }
situation quiet { command off }
"""

ONE_BUTTON = """plan "One button"
supply PS1 { output 24 Vdc, 1 A }
magnetic-lock ML1 { rated 24 Vdc, 250 mA; suppression built in }
exit-button SB1 { contacts 3 A at 30 Vdc }
door D1 { egress sensor release; locks ML1; button SB1 }
cable C1 { conductors 2 of 18 AWG; length 60 ft }
wire PS1:+ to SB1:COM in C1/red
wire SB1:NC to ML1:+ in C1/black
wire ML1:- to PS1:-
"""
"""One contact in the feed, both its wires in one cable: a weld or a short of the pair holds the lock, and only that."""

RELAY = """plan "A relay to be powered"
supply PS1 { output 24 Vdc, 1 A }
magnetic-lock ML1 { rated 24 Vdc, 250 mA; suppression built in }
exit-button SB1 { contacts 3 A at 30 Vdc }
relay K1 { coil 24 Vdc, 20 mA; contacts 5 A at 30 Vdc; suppression built in }
door D1 { egress sensor release; locks ML1; button SB1 }
wire PS1:+ to SB1:COM
wire SB1:NO to K1:A1
wire K1:A2 to PS1:-
wire PS1:+ to K1:COM
wire K1:NC to ML1:+
wire ML1:- to PS1:-
"""
"""A press powers K1, which cuts the lock: any of the three wires of its coil circuit broken, the lock stays held."""

HOLDS_ITSELF = """plan "A relay that holds itself in"
supply PS1 { output 24 Vdc, 1 A }
magnetic-lock ML1 { rated 24 Vdc, 250 mA; suppression built in }
push-button SB1 "start" { contacts 3 A at 30 Vdc }
relay K1 { coil 24 Vdc, 20 mA; contacts 5 A at 30 Vdc; suppression built in }
door D1 { egress sensor release; locks ML1 }
wire PS1:+ to SB1:COM to K1:COM
wire SB1:NO to K1:A1 to K1:NO to ML1:+
wire K1:A2 to PS1:- to ML1:-
"""

SPARE_WIRES = """plan "An input in a cable that ends nowhere"
gate-operator GO1 { safety inputs 0 }
terminal-block TB1 { positions 2 }
cable C1 { conductors 2 of 18 AWG; length 60 ft }
wire GO1:OPEN to TB1:a1 in C1/red
wire GO1:COM to TB1:a2 in C1/black
"""


def mistakes_of(*rules: str) -> list[Mistake]:
    return load_rules([Source("t.rules", "pack test\n" + SITUATIONS + "".join(rules))], shipped_kinds())[1]


def verdicts(text: str, body: str) -> Verdicts:
    kinds = shipped_kinds()
    book, mistakes = load_rules([Source("t.rules", "pack test\n" + SITUATIONS + rule_text(body))], kinds)
    assert [f"{m.headline}: {m.found}" for m in mistakes] == []
    return judge(book, drawn(text), date(2026, 11, 25))


def found(text: str, body: str) -> list[Finding]:
    judged = verdicts(text, body)
    assert judged.gaps == ()
    return list(judged.findings)


AFTER_ANY = (
    "for each lock L of door D\nrequire in every condition with every way out after any single failure: L released"
)
AFTER = AFTER_ANY.replace("failure:", "failure {}:")


def test_every_failure_that_refutes_is_found() -> None:
    """By hand: the weld of SB1 COM–NC, and red touching black. Everything else lets go or makes no difference."""
    (finding,) = found(ONE_BUTTON, AFTER_ANY + '\nfound "{failures.count} of them: {failures}; {failure}"')
    weld, short = "SB1:COM–NC welded", "C1/red (PS1:+ to SB1:COM) and C1/black (SB1:NC to ML1:+) touch"
    assert finding.failures == (weld, short)
    assert finding.failure == weld
    assert finding.found.startswith("2 of them: 2 of ")
    assert finding.found.endswith(f"single failures that act on it: {weld}; {short}; {weld}")
    assert finding.condition == {"PS1.mains": True, "SB1.pressed": True}
    assert finding.also_at[0].text.startswith("exit-button SB1")


@pytest.mark.parametrize(
    ("which", "count"),
    [
        ("of conductor open", 0),
        ("of contact welded", 1),
        ("of conductors shorted", 1),
        ("of conductors shorted, contact welded", 2),
        ("on L", 0),
    ],
)
def test_kinds_and_places(which: str, count: int) -> None:
    """Only what is asked for counts; none of the lock's own parts is among it."""
    assert [len(f.failures) for f in found(ONE_BUTTON, AFTER.format(which))] == ([count] if count else [])


def test_on_a_device_means_its_own_parts() -> None:
    """The button's contact, and not the wires at it."""
    body = "for each door D, device B in D.button, lock L of D\n" + AFTER.partition("\n")[2].format("on B")
    (finding,) = found(ONE_BUTTON, body)
    assert finding.failures == ("SB1:COM–NC welded",)


def test_on_a_cable_means_its_conductors() -> None:
    """The short of the two; the weld is elsewhere."""
    body = "for each cable C, lock L of door D\n" + AFTER.partition("\n")[2].format("on C")
    (finding,) = found(ONE_BUTTON, body)
    assert [f.partition(" ")[0] for f in finding.failures] == ["C1/red"]


def test_on_a_load_means_the_metal_that_leads_through_it() -> None:
    """The weld and the short stand in the coil's own feed."""
    body = AFTER_ANY.replace("lock L of door D", "lock L of door D, load X of L").replace("failure:", "failure on X:")
    (finding,) = found(ONE_BUTTON, body)
    assert len(finding.failures) == 2


def test_a_broken_wire_of_the_releasing_relay() -> None:
    """By hand: PS1:+ to SB1:COM, SB1:NO to K1:A1, K1:A2 to PS1:-."""
    (finding,) = found(RELAY, AFTER.format("of conductor open"))
    wires = {"wire PS1:+ to SB1:COM open", "wire SB1:NO to K1:A1 open", "wire K1:A2 to PS1:- open"}
    assert set(finding.failures) == wires


def test_what_is_wrong_with_nothing_failed_is_found_too() -> None:
    """A lock with nothing in its feed needs no failure to stay held."""
    plan = ONE_BUTTON.replace("SB1:NC to ML1:+", "SB1:COM to ML1:+")
    (finding,) = found(plan, AFTER_ANY + '\nfound "{failure}"')
    assert finding.found == "nothing has to fail"
    assert finding.failure == ""


def test_in_some_condition_asks_it_of_every_failure() -> None:
    """With the feed's wire open the lock is never held: a lock that can be held after any failure there is none."""
    body = "for each lock L of door D\n"
    body += "require in some condition after any single failure of conductor open: not L released"
    (finding,) = found(ONE_BUTTON, body)
    assert len(finding.failures) == 3


def test_a_short_closes_an_input_that_is_on_no_loop_as_drawn() -> None:
    """Red touching black joins OPEN to COM, though as drawn no current can ever reach the input."""
    body = "for each input I\nwhere I.commands is open\nrequire in every condition after any single failure: not I made"
    (finding,) = found(SPARE_WIRES, body + "\npath I")
    assert finding.failures == ("C1/red (GO1:OPEN to TB1:a1) and C1/black (GO1:COM to TB1:a2) touch",)


def test_a_short_between_two_supplies_that_share_their_minus() -> None:
    """PS1's plus on red touches white behind the open button: ML2 is fed round the jumper between the minuses."""
    plan = """plan "Two supplies"
supply PS1 { output 24 Vdc, 1 A }
supply PS2 { output 24 Vdc, 1 A }
magnetic-lock ML1 { rated 24 Vdc, 250 mA; suppression built in }
magnetic-lock ML2 { rated 24 Vdc, 250 mA; suppression built in }
exit-button SB1 { contacts 3 A at 30 Vdc }
door D1 { egress free by lever; locks ML1 }
door D2 { egress sensor release; locks ML2; button SB1 }
cable C1 { conductors 4 of 18 AWG; length 60 ft }
wire PS1:- to PS2:-
wire PS1:+ to ML1:+ in C1/red
wire ML1:- to PS1:- in C1/black
wire PS2:+ to SB1:COM
wire SB1:NC to ML2:+ in C1/white
wire ML2:- to PS2:- in C1/green
"""
    body = AFTER.format("of conductors shorted").replace("require", "where D.egress is sensor release\nrequire")
    (finding,) = found(plan, body + "\npath L")
    assert finding.failures == ("C1/red (PS1:+ to ML1:+) and C1/white (SB1:NC to ML2:+) touch",)
    assert finding.path[0] == "PS1:+"


def test_a_short_may_power_a_relay_that_is_on_no_loop_as_drawn() -> None:
    """K1 pulls in once the spare wire from plus touches its own, and cuts ML1: the strike it feeds is let go."""
    plan = """plan "A relay without a feed"
supply PS1 { output 24 Vdc, 1 A }
magnetic-lock ML1 { rated 24 Vdc, 250 mA; suppression built in }
relay K1 { coil 24 Vdc, 20 mA; contacts 5 A at 30 Vdc; suppression built in }
terminal-block TB1 { positions 2 }
door D1 { egress sensor release; locks ML1 }
cable C1 { conductors 2 of 18 AWG; length 60 ft }
wire PS1:+ to TB1:a1 in C1/red
wire TB1:a2 to K1:A1 in C1/black
wire K1:A2 to PS1:-
wire PS1:+ to K1:COM
wire K1:NO to ML1:+
wire ML1:- to PS1:-
"""
    body = AFTER.format("of conductors shorted").replace(" with every way out", "")
    (finding,) = found(plan, body)
    assert finding.failures == ("C1/red (PS1:+ to TB1:a1) and C1/black (TB1:a2 to K1:A1) touch",)


def test_with_a_failure_and_electronics_distrusted_together() -> None:
    """A reader in series changes nothing: the weld still holds the lock when the reader's contact is made."""
    plan = ONE_BUTTON.replace(
        "wire SB1:NC to ML1:+ in C1/black", "wire SB1:NC to RD1:COM in C1/black\nwire RD1:NC to ML1:+"
    )
    plan += "reader RD1 { rated 24 Vdc, 80 mA; contacts 2 A at 30 Vdc }\n"
    plan += "wire PS1:+ to RD1:power+\nwire RD1:power- to PS1:-\n"
    body = AFTER_ANY.replace("after any", "whatever the electronics do after any") + '\nfound "{condition}"'
    (finding,) = found(plan, body)
    assert "SB1:COM–NC welded" in finding.failures
    assert "RD1" in finding.found


def test_history_is_worded_by_its_events() -> None:
    """K1 holds itself in: held with the button let go, after it was pressed and let go."""
    body = "for each lock L of door D\nrequire in every condition with quiet: L released\npath L"
    (finding,) = found(HOLDS_ITSELF, body + '\nfound "{condition}"')
    assert finding.found == "K1 still held in from before"
    assert finding.replay is not None
    assert finding.replay.events == ("SB1 pressed", "no longer SB1 pressed")
    assert finding.replay.made == ("K1 COM–NO",)


def test_what_the_relay_does_not_feel_comes_last_in_a_replay() -> None:
    """K1 is started and let go; the alarm, which only the lock's feed feels, is told behind that."""
    plan = HOLDS_ITSELF.replace("K1:NO to ML1:+", "K1:NO").replace("wire K1:A2", "wire PS1:+ to FA1:COM\nwire K1:A2")
    plan += "fire-alarm-relay FA1 { contacts 2 A at 30 Vdc }\nwire FA1:NO to K1:COM2\nwire K1:NO2 to ML1:+\n"
    plan = plan.replace("contacts 5 A at 30 Vdc; suppression", "poles 2; contacts 5 A at 30 Vdc; suppression")
    plan = plan.replace("K1:COM\n", "K1:COM1\n").replace("K1:NO\n", "K1:NO1\n")
    body = "for each lock L of door D\nrequire in every condition with quiet: L released\npath L"
    (finding,) = found(plan, body)
    assert finding.replay is not None
    assert finding.replay.events == ("SB1 pressed", "no longer SB1 pressed", "fire alarm on")


def test_a_device_without_power_is_a_step_of_the_replay() -> None:
    """The button has nothing to lose, and the lock stays held; what was taken away is told all the same."""
    body = "for each lock L of door D, device B in D.button\n"
    body += "require in every condition with power to B lost: L released\npath L"
    (finding,) = found(ONE_BUTTON, body)
    assert finding.replay is not None
    assert finding.replay.events == ("power to SB1 lost",)


def test_readings_fall_along_the_path() -> None:
    """Out of the plus at 24 V, back at the minus at 0 V; what the lock gets is the difference at its terminals."""
    (finding,) = found(ONE_BUTTON, AFTER_ANY + '\npath L\nfound "{L.volts}"')
    assert finding.replay is not None
    volts = dict(finding.replay.readings)
    assert [t for t, _ in finding.replay.readings] == list(finding.path)
    assert volts["PS1:+"] == pytest.approx(24.0)
    assert volts["PS1:-"] == 0.0
    assert finding.found == f"{volts['ML1:+'] - volts['ML1:-']:.2f} V"
    assert list(volts.values()) == sorted(volts.values(), reverse=True)


@pytest.mark.parametrize(
    ("line", "headline", "hint"),
    [
        (
            "after any single failure of ‹conductor opne›: L released",
            "No failure is called",
            "Did you mean “conductor open”?",
        ),
        ("after any single failure on ‹D›: L released", "A failure is looked for on a thing that has parts", ""),
        ("after any single failure on ‹L.rated-volts›: L released", "A failure is looked for on a thing", ""),
    ],
)
def test_mistakes_of_the_form(line: str, headline: str, hint: str) -> None:
    """At their place, with a way out."""
    body = f"for each lock L of door D\nrequire in every condition {line}"
    marked = body.partition("‹")[2].partition("›")[0]
    (mistake,) = mistakes_of(rule_text(body.replace("‹", "").replace("›", "")))
    assert mistake.headline.startswith(headline)
    assert mistake.at.text == marked
    assert mistake.hint == hint


@pytest.mark.parametrize("word", ["failure", "failures", "failures.count"])
def test_a_failure_is_not_told_by_a_rule_that_looks_at_none(word: str) -> None:
    """Nor the condition, by a rule that looks at none of those."""
    body = f'for each lock L of door D\nrequire in every condition: L released\nfound "{{{word}}}"'
    (mistake,) = mistakes_of(rule_text(body))
    assert mistake.headline == "This rule looks at no failure"
