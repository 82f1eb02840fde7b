"""In-house packs on the command line: which apply, what the report says of them, and what is wrong with them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from plancheck.library.house import HOUSE_FILE
from tests.cli.calling import Caller
from tests.cli.plans import HOUSE_RULE, SOUND

ADOPTING = 'adopt "house"\n' + SOUND
HORN = """kind warning-horn "Horn" {
    terminals + -
    needs     rated <rated-volts: voltage>, <rated-amps: current>
    load      electronics + - electronic { volts rated-volts; amps rated-amps }
}
"""


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a sound plan, a plan that adopts “house”, and the pack “house”."""
    monkeypatch.chdir(tmp_path)
    write("sound.plan", SOUND)
    write("adopts.plan", ADOPTING)
    write("house/own.rules", HOUSE_RULE)
    return tmp_path


def write(name: str, text: str) -> None:
    Path(name).parent.mkdir(parents=True, exist_ok=True)
    Path(name).write_text(text, encoding="utf-8")


def plans_of(plancheck: Caller, *arguments: str) -> dict[str, dict[str, object]]:
    """The JSON report of each text."""
    return {plan["file"]: plan for plan in json.loads(plancheck("review", *arguments, "--as", "json").out)["plans"]}


def rules_run(plan: dict[str, object]) -> list[str]:
    run = plan["rules_run"]
    assert isinstance(run, list)
    return [rule for rule in run if rule.startswith("house/")]


# --- which apply -------------------------------------------------------------------------------------------


def test_a_named_pack_applies_to_every_plan(folder: Path, plancheck: Caller) -> None:
    plans = plans_of(plancheck, "sound.plan", "adopts.plan", "--packs", "house")
    assert {name: rules_run(plan) for name, plan in plans.items()} == {
        "sound.plan": ["house/no-buttons"],
        "adopts.plan": ["house/no-buttons"],
    }
    assert plans["sound.plan"]["packs"] == [{"name": "house", "title": "House rules", "why": "named by --packs"}]


def test_a_pack_at_hand_applies_to_the_plans_that_adopt_it(folder: Path, plancheck: Caller) -> None:
    write(HOUSE_FILE, 'house "Works" { packs "house" }\n')
    plans = plans_of(plancheck, "sound.plan", "adopts.plan")
    assert {name: rules_run(plan) for name, plan in plans.items()} == {
        "sound.plan": [],
        "adopts.plan": ["house/no-buttons"],
    }
    assert plans["sound.plan"]["packs"] == []
    assert plans["adopts.plan"]["packs"] == [{"name": "house", "title": "House rules", "why": "adopted by the plan"}]
    assert {plan["house"] for plan in plans.values()} == {f"Works: {HOUSE_FILE}"}


def test_a_company_adopts_for_all_its_plans(folder: Path, plancheck: Caller) -> None:
    write(HOUSE_FILE, 'house "Works" {\n    packs "house"  # ours\n    adopt "house"\n}\n')
    outcome = plancheck("review", "sound.plan", "--width", "300")
    assert outcome.status == 1
    assert f"House file   Works: {HOUSE_FILE}" in outcome.out
    assert f"Packs        house: House rules (adopted by {HOUSE_FILE})" in outcome.out


def test_kinds_of_a_pack_that_is_not_adopted_are_none(folder: Path, plancheck: Caller) -> None:
    write("house/kinds/horn.plan", HORN)
    write(HOUSE_FILE, 'house "Works" { packs "house" }\n')
    horn = "warning-horn WH1 { rated 24 Vdc, 80 mA }\nwire PS1:+ to WH1:+\nwire PS1:- to WH1:-\n"
    write("adopts.plan", ADOPTING + horn)
    write("sound.plan", SOUND + horn)
    assert "There is no kind" not in plancheck("review", "adopts.plan").out
    outcome = plancheck("review", "sound.plan", "--width", "300")
    assert outcome.status == 2
    assert "There is no kind “warning-horn”" in outcome.out
    assert 'The pack “house” has it; a plan takes it in with: adopt "house"' in outcome.out


def test_devices_of_an_adopted_pack_are_known_by_name(folder: Path, plancheck: Caller) -> None:
    device = 'device "our strike" is an electric-strike { rated 24 Vdc, 225 mA; fails secure; suppression built in }\n'
    write("house/devices.plan", device)
    plan = SOUND.replace("electric-strike ES1 {", '"our strike" ES1 {').replace(
        "{ rated 24 Vdc, 225 mA; fails secure; suppression built in }", ""
    )
    write("sound.plan", plan)
    write("adopts.plan", 'adopt "house"\n' + plan)
    write("uses.plan", 'use "house/devices.plan"\n' + plan)
    write("both.plan", 'adopt "house"\nuse "house/devices.plan"\n' + plan)
    write(HOUSE_FILE, 'house "Works" { packs "house" }\n')
    statuses = {name: plancheck("review", f"{name}.plan").status for name in ("sound", "adopts", "uses", "both")}
    assert statuses == {"sound": 2, "adopts": 1, "uses": 0, "both": 1}
    assert plancheck("review", ".").out.count("1. ") < 9
    assert "devices.plan\n" not in plancheck("review", ".").out


def test_documents_take_packs_in_as_well(folder: Path, plancheck: Caller) -> None:
    write("house/kinds/horn.plan", HORN)
    write(HOUSE_FILE, 'house "Works" { packs "house" }\n')
    horn = "warning-horn WH1 { rated 24 Vdc, 80 mA }\nwire PS1:+ to WH1:+\nwire PS1:- to WH1:-\n"
    write("adopts.plan", ADOPTING + horn + "door D1 { locks ES1 }\n")
    for command in ("sequence", "failures"):
        assert "no kind" not in plancheck(command, "adopts.plan").said
        assert plancheck(command, "adopts.plan").status == 0


# --- the company's own file --------------------------------------------------------------------------------


def test_the_nearest_file_up_to_the_folder_given_is_obeyed(folder: Path, plancheck: Caller) -> None:
    for place in ("", "jobs/", "jobs/new/"):
        write(f"{place}house/own.rules", HOUSE_RULE)
        write(f"{place}{HOUSE_FILE}", f'house "{place or "top"}" {{ packs "house" }}\n')
    write("jobs/new/deep/a.plan", SOUND)
    write("jobs/old/b.plan", SOUND)

    def obeyed(*arguments: str) -> dict[str, object]:
        plans = plans_of(plancheck, *arguments).items()
        return {name: plan["house"] for name, plan in plans if name.endswith(("a.plan", "b.plan"))}

    assert obeyed("jobs") == {
        "jobs/new/deep/a.plan": f"jobs/new/: jobs/new/{HOUSE_FILE}",
        "jobs/old/b.plan": f"jobs/: jobs/{HOUSE_FILE}",
    }
    # However a plan below the folder that is worked in is named, it is held to the same file.
    named = obeyed("jobs")
    assert obeyed("jobs/old/b.plan", "jobs/new/deep") == named
    assert obeyed("jobs/old/b.plan", "--house", HOUSE_FILE) == {"jobs/old/b.plan": f"top: {HOUSE_FILE}"}


def test_no_file_above_what_is_given_and_worked_in_is_obeyed_and_it_is_told(
    folder: Path, plancheck: Caller, monkeypatch: pytest.MonkeyPatch
) -> None:
    write(HOUSE_FILE, 'house "Top" { packs "house"; adopt "house" }\n')
    write("jobs/old/b.plan", SOUND)
    monkeypatch.chdir(folder / "jobs")
    for given in ("old", "old/b.plan"):
        outcome = plancheck("review", given, "--width", "300")
        assert outcome.status == 0
        said = f"House file   none: ../{HOUSE_FILE} stands above and was not obeyed; name it with --house if it holds"
        assert said in outcome.out
    # The folder given is the higher one.
    assert "House file   Top: " in plancheck("review", "..").out
    # A plan elsewhere looks beside itself, and no further.
    write("../elsewhere/deep/c.plan", SOUND)
    write(f"../elsewhere/{HOUSE_FILE}", 'house "Else" { packs "own" }\n')
    outcome = plancheck("review", "../elsewhere/deep/c.plan", "--width", "300")
    assert f"House file   none: ../elsewhere/{HOUSE_FILE} stands above" in outcome.out
    outcome = plancheck("review", "old/b.plan", "--house", f"../{HOUSE_FILE}", "--width", "300")
    assert f"House file   Top: ../{HOUSE_FILE}" in outcome.out


@pytest.mark.parametrize(
    ("text", "at", "words"),
    [
        ('house "W" { packs "hose" }', "line 1, column 19", "The pack “hose” cannot be had"),
        ('house "W" { packs "../other" }', "line 1, column 19", "a folder outside that of this file"),
        ('house "W" { packs "/etc" }', "line 1, column 19", "a folder outside that of this file"),
        ('house "W" { packs "leads" }', "line 1, column 19", "a folder outside that of this file"),
        ('house "W" { packs "." }', "line 1, column 19", "the folder of this file itself"),
        ('house "W" { packs "" }', "line 1, column 19", "no name of a folder"),
        ('house "W" { packs "house"; adopt "hose" }', "line 1, column 34", "There is no pack “hose” to adopt"),
        ('house "W" { packs "house", "house" }', "line 1, column 28", "“house” is named twice"),
        ('house "W" { pakcs "house" }', "line 1, column 13", "“house” cannot be read"),
        ('house "W" { }\nhouse "V" { }', "line 2, column 7", "“house” stands twice"),
        ('house "W" { }\npack p\n', "line 2, column 6", "Only “house” stands in a company's own file"),
        ("# nothing\n", "line 1", "This file names no company"),
        ("", "", "is empty"),
        ("house {\n", "line 1", "This brace is never closed"),
    ],
)
def test_what_is_wrong_in_it_is_told_and_nothing_else_suffers(
    text: str, at: str, words: str, folder: Path, plancheck: Caller
) -> None:
    (folder.parent / "other").mkdir(exist_ok=True)
    (folder / "leads").symlink_to("../other")
    write(HOUSE_FILE, text)
    plans = plans_of(plancheck, "sound.plan")
    findings = plans[HOUSE_FILE]["findings"]
    assert isinstance(findings, list)
    (finding,) = findings
    assert words in f"{finding['headline']} {finding['found']}"
    place = finding["at"]
    assert f"line {place['line']}, column {place['column']}".startswith(at)
    assert plans["sound.plan"]["conditions"]
    assert plancheck("review", "sound.plan").status == 2


def test_near_names_are_offered(folder: Path, plancheck: Caller) -> None:
    write(HOUSE_FILE, 'house "W" { packs "hose" }\n')
    assert "Did you mean “house”?" in plancheck("review", "sound.plan").out
    write(HOUSE_FILE, 'house "W" { packs "house"; adopt "hosue" }\n')
    assert "Did you mean “house”?" in plancheck("review", "sound.plan").out
    write(HOUSE_FILE, 'house "W" { packs "house" }\n')
    write("adopts.plan", 'adopt "hous"\n' + SOUND)
    outcome = plancheck("review", "adopts.plan")
    assert outcome.status == 2
    assert "The plan adopts the pack “hous”, which is not at hand" in outcome.out
    assert "Did you mean “house”?" in outcome.out


def test_a_file_that_is_none_is_wrong_usage(folder: Path, plancheck: Caller) -> None:
    for command in (("review", "sound.plan"), ("sequence", "sound.plan"), ("rules",)):
        outcome = plancheck(*command, "--house", "no.house")
        assert outcome.status == 2
        assert outcome.err.startswith("plancheck: --house: “no.house” is no file.")


# --- changes -----------------------------------------------------------------------------------------------

OFF = 'change egress/fire-alarm-release { reason "no panels here"; off }\n'


def test_a_loosened_life_safety_rule_is_a_finding_with_pack_and_reason(folder: Path, plancheck: Caller) -> None:
    write("house/own.rules", "pack house\n" + OFF)
    outcome = plancheck("review", "sound.plan", "--packs", "house", "--width", "300")
    assert outcome.status == 1
    assert "ERROR · LIFE SAFETY   The pack house switches off egress/fire-alarm-release" in outcome.out
    assert "in house/own.rules" in outcome.out
    assert "The pack's reason: no panels here" in outcome.out
    assert "check local code" in outcome.out
    assert "egress/fire-alarm-release by house: switched off (loosens). Reason: no panels here" in outcome.out
    plan = plans_of(plancheck, "sound.plan", "--packs", "house")["sound.plan"]
    assert "egress/fire-alarm-release" not in str(plan["rules_run"])


def test_it_may_stand_under_a_variance_of_the_plan(folder: Path, plancheck: Caller) -> None:
    write("house/own.rules", "pack house\n" + OFF)
    variance = """variance file/life-safety-rule-loosened on plan {
    reason "agreed at the meeting"
    granted by "building official" reference "V-7"
    until 2027-06-30
}
"""
    write("sound.plan", SOUND + variance)
    outcome = plancheck("review", "sound.plan", "--packs", "house", "--as-of", "2027-06-30")
    assert outcome.status == 0
    assert "UNDER VARIANCE" in outcome.out
    outcome = plancheck("review", "sound.plan", "--packs", "house", "--as-of", "2027-07-01")
    assert outcome.status == 1
    assert "has run out" in outcome.out


def test_two_packs_that_disagree_are_said(folder: Path, plancheck: Caller) -> None:
    write("house/own.rules", "pack house\n" + OFF + 'change electrical/loop-drop { reason "r"; limit most = 3 % }\n')
    write("site/a.rules", 'pack site "Site"\nchange electrical/loop-drop { reason "long runs"; limit most = 8 % }\n'
          'change egress/fire-alarm-release { reason "never off"; severity error }\n')  # fmt: skip
    outcome = plancheck("review", "sound.plan", "--packs", "house", "--packs", "site", "--width", "300")
    assert outcome.status == 0
    assert "egress/fire-alarm-release by house: switched off does not hold: site keeps it on" in outcome.out
    assert "electrical/loop-drop by site: limit most 8 % instead of 5 % does not hold: house wants 3 %" in outcome.out
    assert "electrical/loop-drop by house: limit most 3 % instead of 5 %. Reason: r" in outcome.out


def test_rules_tells_of_changes(folder: Path, plancheck: Caller) -> None:
    write("house/own.rules", HOUSE_RULE + OFF)
    listed = plancheck("rules", "--packs", "house", "--width", "200").out
    assert "Changed      egress/fire-alarm-release by house: switched off (loosens). Reason: no panels here" in listed
    shown = plancheck("rules", "show", "egress/fire-alarm-release", "--packs", "house", "--width", "200").out
    assert "Changed      egress/fire-alarm-release by house: switched off" in shown
    assert plancheck("rules", "trial", "house").status == 0


def test_a_variance_covers_a_pack_s_own_rule(folder: Path, plancheck: Caller) -> None:
    assert plancheck("review", "sound.plan", "--packs", "house").status == 1
    write("sound.plan", SOUND + 'variance house/no-buttons on SB1 { reason "the client wants it" }\n')
    outcome = plancheck("review", "sound.plan", "--packs", "house")
    assert outcome.status == 0
    assert "UNDER VARIANCE" in outcome.out
    # Without the pack there is no such rule, and the variance excuses nothing.
    outcome = plancheck("review", "sound.plan")
    assert outcome.status == 1
    assert "The variance from house/no-buttons excuses nothing" in outcome.out


def test_the_watch_over_packs_cannot_be_silenced(folder: Path, plancheck: Caller) -> None:
    silence = 'change file/life-safety-rule-loosened { reason "quiet"; off }\n'
    write("house/own.rules", "pack house\n" + OFF + silence)
    outcome = plancheck("review", "sound.plan", "--packs", "house", "--width", "300")
    assert outcome.status == 2
    assert "file/life-safety-rule-loosened watches over changes, and none may touch it" in outcome.out
    assert "The pack house switches off egress/fire-alarm-release" in outcome.out


def test_typicals_of_an_adopted_pack_are_known_by_name(folder: Path, plancheck: Caller) -> None:
    typical = """typical our-door {
    electric-strike ES { rated 24 Vdc, 225 mA; fails secure; suppression built in }
    door here { locks ES }
}
"""
    write("house/doors.plan", typical)
    write(HOUSE_FILE, 'house "Works" { packs "house" }\n')
    place = "place our-door as D7\nwire PS1:+ to D7/ES:+\nwire PS1:- to D7/ES:-\n"
    write("adopts.plan", ADOPTING + place)
    write("sound.plan", SOUND + place)
    assert plancheck("review", "sound.plan").status == 2
    outcome = plancheck("review", "adopts.plan")
    assert outcome.status == 1
    assert "our-door" not in outcome.out


# --- packs that are broken, or would take what is another's ------------------------------------------------


@pytest.mark.parametrize(
    ("file", "text", "words"),
    [
        ("house/bad.rules", "pack house\nchange egress/nothing-such { off; reason \"r\" }\n", "There is no rule"),
        ("house/bad.rules", "pack egress\n", "The pack “egress” is a shipped one already"),
        ("house/kinds/k.plan", "kind relay \"R\" { terminals a b }\n", "There is a kind “relay” already"),
        ("house/devices.plan", 'device "d" is a realy { }\n', "There is no kind “realy”"),
        ("house/devices.plan", 'device "d" is a relay { coil 24 Vcd, 1 A }\n', "“coil” cannot be read"),
        ("house/devices.plan", 'device "d" is a relay\ndevice "d" is a relay\n', "There is a house device “d”"),
        ("house/devices.plan", 'revision "A" dated 2026-01-01\n', "“revision” belongs in the plan itself"),
        (
            "house/kinds/k.plan",
            'kind my-lock "L" is a lock {\n    terminals + -\n    needs rated <rated-volts: length>\n}\n',
            "“rated-volts” of my-lock means something else with",
        ),
        ("house/s.rules", "pack house\nsituation fire alarm { mains off }\n", "The situation “fire alarm”"),
    ],
)  # fmt: skip
def test_a_broken_pack_is_an_error_and_disables_nothing_else(
    file: str, text: str, words: str, folder: Path, plancheck: Caller
) -> None:
    before = plans_of(plancheck, "sound.plan", "--packs", "house")["sound.plan"]
    write(file, text)
    after = plans_of(plancheck, "sound.plan", "--packs", "house")
    assert plancheck("review", "sound.plan", "--packs", "house").status == 2
    findings = after[file]["findings"]
    assert isinstance(findings, list)
    assert any(words in f"{f['headline']} {f['found']}" for f in findings)
    assert rules_run(after["sound.plan"]) == rules_run(before) == ["house/no-buttons"]
    assert after["sound.plan"]["rules_run"] == before["rules_run"]


def test_the_other_place_is_shown(folder: Path, plancheck: Caller) -> None:
    write("house/kinds/k.plan", 'kind relay "R" { terminals a b }\n')
    findings = plans_of(plancheck, "sound.plan", "--packs", "house")["house/kinds/k.plan"]["findings"]
    assert isinstance(findings, list)
    assert [[place["file"] for place in f["also_at"]] for f in findings] == [["rules/kinds/relays.plan"]]
