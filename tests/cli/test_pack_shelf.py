"""Packs kept as read: the next run reads nothing anew, and whatever is wrong with what is kept only costs time."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from typing import Any

import lark
import pytest

from plancheck import __version__
from plancheck.library import pack_shelf
from tests.cli.calling import CHECKOUT, Caller, Outcome
from tests.cli.plans import HOUSE_RULE
from tests.cli.shelved import HORN, LOUD, Review, entries, forget


def _forge(entry: Path, content: bytes) -> None:
    """Write an entry whose digest is right."""
    entry.write_bytes(hashlib.sha256(content).hexdigest().encode() + b"\n" + content)


def _content(entry: Path) -> Any:
    return json.loads(entry.read_bytes().partition(b"\n")[2])


def test_the_second_run_reads_no_pack_anew_and_says_the_same(kept: Path, review: Review, anew: list[str]) -> None:
    first = review()
    assert first.status == 1
    assert {"house/no-buttons", "house/horns-are-small"} <= set(first.out.split())
    assert "house/own.rules" in anew
    assert "kinds" in anew
    assert len(entries(kept)) == 1
    anew.clear()
    assert review() == first
    assert anew == []


def test_every_answer_about_rules_is_the_same(kept: Path, plancheck: Caller) -> None:
    asked = [["rules"], ["rules", "show", "house/horns-are-small"], ["rules", "words"], ["rules", "trial", "house"]]

    def answers() -> list[Outcome]:
        forget()
        return [plancheck(*words, "--packs", "house") for words in asked]

    first = answers()
    assert [outcome.status for outcome in first] == [0, 0, 0, 0]
    assert len(entries(kept)) == 1
    assert answers() == first


def test_only_the_user_may_read_or_write_it(kept: Path, review: Review) -> None:
    review()
    (entry,) = entries(kept)
    assert entry.stat().st_mode & 0o777 == 0o600
    assert kept.stat().st_mode & 0o777 == 0o700


# --- stale -----------------------------------------------------------------------------------------------------


def test_a_changed_rule_is_read_anew(kept: Path, review: Review) -> None:
    assert "WH1 takes 80 mA" in review().out
    Path("house/own.rules").write_text(HOUSE_RULE + LOUD.replace("50 mA", "90 mA"), encoding="utf-8")
    assert "WH1 takes 80 mA" not in review().out
    assert len(entries(kept)) == 2
    Path("house/own.rules").write_text(HOUSE_RULE + LOUD, encoding="utf-8")
    assert "WH1 takes 80 mA" in review().out


def test_a_changed_kind_has_all_rules_checked_anew(kept: Path, review: Review) -> None:
    assert review().status == 1
    changed = HORN.replace("horn-amps", "drawn-amps")
    Path("house/kinds/horns.plan").write_text(changed, encoding="utf-8")
    outcome = review()
    assert outcome.status == 2
    assert "has no fact “horn-amps”" in outcome.out
    assert len(entries(kept)) == 1, "a pack with a mistake is not kept"


def test_another_program_reads_anew(
    kept: Path, review: Review, anew: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    review()
    anew.clear()
    monkeypatch.setattr(pack_shelf, "_program", lambda: iter([b"another"]))
    review()
    assert "house/own.rules" in anew
    assert len(entries(kept)) == 2


def test_what_reads_and_checks_is_part_of_the_name() -> None:
    parts = [part.decode() for part in pack_shelf._program()]
    assert parts[0] == __version__
    assert f'__version__: str = "{lark.__version__}"' in parts[1]
    package = CHECKOUT / "plancheck"
    for file in (
        package / "rulebook/check.py", package / "rulebook/words_of_parts.py", package / "plan/declare.py",
        package / "syntax/tree.py", package / "units.py", package / "library/pack_shelf.py",
        CHECKOUT / "grammar/rules.lark",
    ):  # fmt: skip
        found = file.stat()
        assert f"{file.parent.name}/{file.name} {found.st_size} {found.st_mtime_ns}" in parts


def test_packs_in_another_order_or_parted_otherwise_are_others(kept: Path, review: Review, plancheck: Caller) -> None:
    Path("more").mkdir()
    Path("more/more.rules").write_text(HOUSE_RULE.replace("pack house", "pack more"), encoding="utf-8")
    for packs in (["house", "more"], ["more", "house"], ["more"]):
        forget()
        plancheck("review", "a.plan", *[word for pack in packs for word in ("--packs", pack)])
    assert len(entries(kept)) == 3


def test_what_is_kept_of_one_set_of_packs_says_nothing_of_another(
    kept: Path, review: Review, plancheck: Caller
) -> None:
    """Rules found right among some kinds are checked anew among others, in the same process as well."""
    assert review().status == 1
    assert review().status == 1  # from what is kept
    Path("other").mkdir()
    mixed = HORN.replace("warning-horn", "quiet-horn").replace("<horn-amps: current>", "<horn-amps: voltage>")
    Path("other/horns.plan").write_text(mixed.replace("amps horn-amps; ", ""), encoding="utf-8")
    outcome = plancheck("review", "a.plan", "--packs", "house", "--packs", "other")
    assert outcome.status == 2
    assert "“horn-amps” of quiet-horn means something else with warning-horn" in outcome.out


# --- damaged ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("damage", ["empty", "cut", "one byte", "no digest", "other text", "binary", "a folder"])
def test_what_is_damaged_is_read_and_written_anew(damage: str, kept: Path, review: Review, anew: list[str]) -> None:
    first = review()
    (entry,) = entries(kept)
    whole = entry.read_bytes()
    if damage == "a folder":
        entry.unlink()
        entry.mkdir()
    else:
        entry.write_bytes(
            {
                "empty": b"",
                "cut": whole[: len(whole) // 2],
                "one byte": whole.replace(b"no-buttons", b"no-battens", 1),
                "no digest": whole.partition(b"\n")[2],
                "other text": b"0" * 64 + b"\n{}",
                "binary": bytes(range(256)) * 40,
            }[damage]
        )
    anew.clear()
    assert review() == first
    assert "house/own.rules" in anew
    assert damage == "a folder" or entry.read_bytes() == whole


@pytest.mark.parametrize(
    "content",
    [
        b"", b"7", b"null", b"[]", b"{}", b'{"kinds": 1, "rules": 2}', b'{"kinds": [], "rules": []}',
        b'{"kinds": "x", "rules": "y"}', b'{"kinds": [0], "rules": [0]}', b'{"kinds": [[]], "rules": [[]]}',
        b'{"kinds": [[0, 1]], "rules": [[0, 1]]}', b'{"kinds": [[0]], "rules": [["eval", "1"]]}',
        b'{"kinds": [[0]], "rules": [[0, ["__builtins__"]]]}', b'{"kinds": [[0]], "rules": [[0, ["Name"]]]}',
        b'{"kinds": [[0, [0, 0, 9, ["Nobody"]]]], "rules": [[0]]}', b"[" * 100_000, b'{"kinds": NaN}',
        b'{"kinds": [[0]], "rules": [[0, ["RuleNode", null, [0], {"later": [0]}, true, 0, 1]]]}', b"\xff\xfe",
    ],
)  # fmt: skip
def test_what_is_forged_is_read_anew(content: bytes, kept: Path, review: Review, anew: list[str]) -> None:
    first = review()
    (entry,) = entries(kept)
    head = {name: _content(entry)[name] for name in ("of", "texts")}
    if content.startswith(b"{"):  # It says rightly of what it is.
        content = json.dumps(head).encode()[:-1] + b", " + content[1:]
    _forge(entry, content)
    anew.clear()
    assert review() == first
    assert "house/own.rules" in anew


@pytest.mark.parametrize("renamed", [False, True])
def test_an_entry_of_other_packs_under_this_name_is_read_anew(
    renamed: bool, kept: Path, review: Review, anew: list[str]
) -> None:
    """In the one, horns take up to 90 mA; put in the place of the other, it would let 80 mA pass."""
    own = Path("house/own.rules")
    stricter = own.read_text(encoding="utf-8")
    own.write_text(stricter.replace("most = 50 mA", "most = 90 mA"), encoding="utf-8")
    assert "WH1 takes 80 mA" not in review().out
    (looser,) = entries(kept)
    own.write_text(stricter, encoding="utf-8")
    first = review()
    assert "WH1 takes 80 mA" in first.out
    (entry,) = [each for each in entries(kept) if each != looser]
    if renamed:
        _forge(entry, json.dumps(_content(looser) | {"of": entry.name}).encode())
    else:
        entry.write_bytes(looser.read_bytes())
    anew.clear()
    assert review() == first
    assert "house/own.rules" in anew
    assert _content(entry)["of"] == entry.name, "written anew"


def test_no_forged_name_reaches_anything_but_nodes(kept: Path, review: Review) -> None:
    review()
    (entry,) = entries(kept)
    held = _content(entry)
    for name in ("dataclass", "__builtins__", "print", "annotations"):
        held["rules"][0][1] = [name, "x", 0, 1]
        _forge(entry, json.dumps(held).encode())
        assert review().status == 1
        assert _content(entry)["rules"][0][1][0] == "PackNode", "written anew"


def test_a_forged_demand_does_not_pass(kept: Path, review: Review) -> None:
    review()
    (entry,) = entries(kept)
    held = _content(entry)
    rule = held["rules"][0][-1]
    assert rule[0] == "RuleNode"
    rule[3] = {"later": [0, ["GroupNode", ["Name", "x", 0, 1], {"later": [0]}]]}
    _forge(entry, json.dumps(held).encode())
    outcome = review()
    assert outcome.status == 2
    assert "plancheck itself failed" in outcome.out
