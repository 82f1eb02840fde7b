"""What a plan says of itself, its exceptions, and the files it uses."""

from __future__ import annotations

import pytest

from plancheck.plan.model import Variance
from plancheck.plan.resolve import resolve
from plancheck.source import Source
from tests.marked import said
from tests.plan.drawn import draw, kinds, sound


def test_the_header() -> None:
    plan = sound(
        'plan "Rear entrance"\nrevision "C" dated 2026-11-20\njurisdiction us\nadopt "house"\nadopt "site", "house"\n'
        "ambient 0 degC to 104 degF\ndoor D"
    )
    assert (plan.title, plan.revision, plan.dated, plan.jurisdiction) == ("Rear entrance", "C", "2026-11-20", "us")
    assert plan.adopts == ("house", "site")
    assert plan.ambient_low == pytest.approx(273.15)
    assert plan.ambient_high == pytest.approx(313.15)  # 104 degF is 40 degC
    assert plan.header_at["revision"].text == 'revision "C" dated 2026-11-20'
    assert list(plan.header_at) == ["plan", "revision", "jurisdiction", "adopt", "ambient"]


def test_a_plan_that_says_nothing_of_itself() -> None:
    plan = sound("door D")
    assert (plan.title, plan.revision, plan.dated, plan.jurisdiction, plan.adopts) == ("", "", "", "", ())
    assert (plan.ambient_low, plan.ambient_high) == (273.15, 313.15)
    assert plan.header_at == {}


def test_a_variance() -> None:
    plan = sound(
        'door D101\nvariance egress/button-location on D101 {\n    reason     "glazed"\n'
        '    granted by "building official"  reference "VAR-1"\n    until      2027-06-30\n}\nvariance a/b on D101'
    )
    first, second = plan.variances
    expected = ("egress/button-location", "D101", "glazed", "building official", "VAR-1", "2027-06-30")
    assert (first.rule, first.on, first.reason, first.granted_by, first.reference, first.until) == expected
    assert first.at.line == 2
    assert second == Variance("a/b", "D101", "", "", "", "", second.at)


SHARED = """
use "more.plan"
kind shed is a lock { terminals 1 2; needs width <width: length> }
device "our lock" is a magnet { rated 24 Vdc, 500 mA }
typical leaf { door here }
feed PS1 { output 24 Vdc, 2 A }
"""


def test_a_used_file_gives_kinds_house_devices_typicals_and_devices() -> None:
    plan = sound(
        'use "shared.plan"\nshed S { width 3 m }\n"our lock" ML\nplace leaf as D1\nwire PS1:+ to ML:+',
        {"shared.plan": SHARED, "more.plan": "feed PS0 { output 12 V, 1 A }"},
    )
    assert list(plan.devices) == ["PS0", "PS1", "S", "ML", "D1"]
    assert plan.devices["PS1"].at.source.name == "shared.plan"


def test_a_file_used_twice_is_read_once() -> None:
    files = {"a.plan": 'use "c.plan"\ndoor A', "b.plan": 'use "c.plan"\ndoor B', "c.plan": "door C"}
    assert list(sound('use "a.plan"\nuse "b.plan"\ndoor D', files).devices) == ["C", "A", "B", "D"]


def sayings(text: str, files: dict[str, str]) -> list[str]:
    return [f"{m.at.source.name}:{m.at.line}:{m.at.column} {said(m)}" for m in draw(text, files)[1]]


def test_a_file_that_uses_itself() -> None:
    [one] = sayings('use "a.plan"\ndoor D', {"a.plan": '\nuse "a.plan"\ndoor A'})
    assert one.startswith("a.plan:2:5 “a.plan” comes back to itself; found a.plan → a.plan")
    [ring] = sayings('use "a.plan"', {"a.plan": 'use "b.plan"', "b.plan": 'use "a.plan"'})
    assert ring.startswith("b.plan:1:5 “a.plan” comes back to itself; found a.plan → b.plan → a.plan")


def test_a_file_that_cannot_be_had() -> None:
    [missing] = sayings('door D\nuse "gone.plan"', {})
    assert missing.startswith("top.plan:2:5 “gone.plan” cannot be used; found no such file")


@pytest.mark.parametrize("name", ["/etc/x.plan", "C:/x.plan", "~/x.plan", "\\\\host\\x.plan", " ", "a\u200bb\x07"])
def test_a_name_that_no_used_file_can_have(name: str) -> None:
    asked = []

    def include(wanted: str, by: Source) -> str:
        asked.append(wanted)
        return "asked"

    _, [mistake] = resolve(Source("top.plan", f'use "{name}"\ndoor D'), kinds(), include)
    assert mistake.headline.endswith("cannot be used")
    assert asked == []


def test_files_that_use_files_without_end() -> None:
    chain = {f"{i}.plan": f'use "{i + 1}.plan"' for i in range(100)}
    [deep] = sayings('use "0.plan"', chain)
    assert "16 deep" in deep
    many = {f"{i}.plan": f"door D{i}" for i in range(300)}
    text = "\n".join(f'use "{i}.plan"' for i in range(300))
    crowd = sayings(text, many)
    assert len(crowd) == 100
    assert "200 files in use" in crowd[0]


def test_a_file_that_is_too_long() -> None:
    [long] = sayings('use "a.plan"', {"a.plan": "#" + "x" * 4_000_000})
    assert "4,000,001 characters, of 4,000,000 at most" in long


def test_mistakes_of_a_used_file_stand_in_that_file() -> None:
    wrong = sayings('use "a.plan"', {"a.plan": 'plan "x"\nwire A to B\nmagnet M { rated 24 Vdc }'})
    assert [w.split(" ")[0] for w in sorted(wrong)] == ["a.plan:1:1", "a.plan:2:6", "a.plan:3:24"]
    assert "“plan” belongs in the plan itself" in wrong[1]


def test_a_used_file_that_is_empty() -> None:
    assert sayings('use "a.plan"\ndoor D', {"a.plan": ""})[0].startswith("a.plan:1:1 The text is empty")
