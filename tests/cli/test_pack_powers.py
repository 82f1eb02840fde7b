"""What no in-house pack may do: excuse a plan from a rule, or say who may claim the clauses of others."""

from __future__ import annotations

from pathlib import Path

import pytest

from plancheck.library.house import HOUSE_FILE
from tests.cli.calling import Caller
from tests.cli.plans import HOUSE_RULE, SOUND

OFF = 'change egress/fire-alarm-release { reason "no panels here"; off }\n'


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a sound plan and the pack “house”."""
    monkeypatch.chdir(tmp_path)
    write("sound.plan", SOUND)
    write("house/own.rules", HOUSE_RULE)
    return tmp_path


def write(name: str, text: str) -> None:
    Path(name).parent.mkdir(parents=True, exist_ok=True)
    Path(name).write_text(text, encoding="utf-8")


# --- variances ---------------------------------------------------------------------------------------------

GRANTED = """variance file/life-safety-rule-loosened on plan {
    reason "agreed"
    granted by "ourselves" reference "1"
    until 2099-01-01
}
"""


@pytest.mark.parametrize(
    ("pack", "plan"),
    [
        ({"house.plan": GRANTED}, SOUND),
        ({"house.plan": 'use "inner/v.plan"\n', "inner/v.plan": GRANTED}, SOUND),
        ({"doors.plan": f"typical quiet {{\n{GRANTED}}}\n"}, SOUND + "place quiet as Q1\n"),
        (
            {"doors.plan": f"typical quiet {{\n{GRANTED}}}\n"},
            'use "house/doors.plan"\n' + SOUND + "place quiet as Q1\n",
        ),
        ({"sample.plan": 'plan "s"\n' + GRANTED}, 'use "house/sample.plan"\n' + SOUND),
    ],
    ids=["by itself", "in a file that it uses", "in a typical", "in a typical that is used", "in a sample"],
)
def test_a_pack_grants_no_variance(pack: dict[str, str], plan: str, folder: Path, plancheck: Caller) -> None:
    write("house/own.rules", "pack house\n" + OFF)
    write("sound.plan", plan)
    for name, text in pack.items():
        write(f"house/{name}", text)
    outcome = plancheck("review", "sound.plan", "--packs", "house", "--width", "300")
    assert outcome.status == 2
    assert "“variance” belongs in the plan itself" in outcome.out
    assert "variance file/life-safety-rule-loosened on plan {" in outcome.out
    assert "ERROR · LIFE SAFETY   The pack house switches off egress/fire-alarm-release" in outcome.out
    assert "UNDER VARIANCE" not in outcome.out


def test_a_file_that_a_plan_uses_may_grant_one(folder: Path, plancheck: Caller) -> None:
    write("house/own.rules", "pack house\n" + OFF)
    write("granted/v.plan", GRANTED)
    write("sound.plan", 'use "granted/v.plan"\n' + SOUND)
    outcome = plancheck("review", "sound.plan", "--packs", "house", "--width", "300")
    assert outcome.status == 0
    assert "UNDER VARIANCE" in outcome.out


# --- tables of clauses -------------------------------------------------------------------------------------

CLAIMS = """plan "T"
revision "A" dated 2026-11-02
jurisdiction us
supply PS1 { output 24 Vdc, 1 A; class 2 }
magnetic-lock ML1 { rated 24 Vdc, 400 mA; suppression built in }
door D1 { on exit path; egress delayed; locks ML1; claimed under "IBC 2021, 1010.2.12" }
wire PS1:+ to ML1:+
wire ML1:- to PS1:-
"""
"""By the shipped table, 1010.2.12 of IBC 2021 is that of sensor release (published)."""


@pytest.mark.parametrize(
    "table",
    [
        'clauses sensor-release for delayed {\n    "XYZ 2020" "1.2" grade published\n}\n',
        'clauses ours for delayed {\n    "IBC 2021" "1010.2.12" grade published\n}\n',
        'clauses ours for delayed {\n    "IBC 2021" "1010.2.12.9" grade published\n}\n',
        'clauses delayed {\n    "IBC-2021" "1010.2.12" grade published\n}\n',
    ],
)
@pytest.mark.parametrize("adopt", ["", '; adopt "house"'])
def test_no_table_of_a_pack_excuses_a_door(table: str, adopt: str, folder: Path, plancheck: Caller) -> None:
    write("sound.plan", CLAIMS)
    write("house/own.rules", "pack house\n" + table)
    write(HOUSE_FILE, f'house "Works" {{ packs "house"{adopt} }}\n')
    outcome = plancheck("review", "sound.plan", "--width", "300")
    assert "D1 is of class delayed, yet claims the clause of sensor release" in outcome.out
    assert ("pack house has it" in outcome.out) <= bool(adopt)
