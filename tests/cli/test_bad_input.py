"""Bad input: each a plain message with its place, exit status 2, no traceback, and nothing that passes unjudged."""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path

import pytest

from tests.cli.calling import Caller, process, started
from tests.cli.plans import SOUND


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder to work in."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


def _refused(plancheck: Caller, words: str, name: str = "a.plan") -> str:
    outcome = plancheck("review", name)
    assert outcome.status == 2
    assert words in outcome.out
    assert "No findings" not in outcome.out
    return outcome.out


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "“a.plan” is empty"),
        (b"\n\n  \t\n", "“a.plan” is empty"),
        (b"# nothing but a comment\n", "The text is empty"),
        (b'plan "only a title"\n', "This plan draws nothing"),
        (bytes(range(256)) * 8, "“a.plan” is not a text"),
        (b"\x7fELF" + b"\0" * 100, "“a.plan” is not a text"),
        (SOUND.encode("utf-16"), "“a.plan” is not written in UTF-8"),
        (SOUND.encode() + b"\xff\xfe", "“a.plan” is not written in UTF-8"),
        (b"wire " + b"A" * 10_000_000, "“a.plan” is too large"),
        (SOUND.encode() + b"door D1 {\n", "line 12"),
        (SOUND.encode() + b"}\n", "line 12"),
        (SOUND.encode() + b'door D1 "never closed\n', "line 12"),
        (SOUND.encode() + b"{" * 50_000, "too long to be read"),
        (SOUND.encode() + b"door D1 { " + b"locks ES1; " * 20_000, "line 12"),
        (SOUND.encode() + b"wire PS1:+" + b" to ES1:+" * 40_000, "ES1"),
    ],
    ids=[
        "empty", "blank", "comment", "title", "every-byte", "binary", "utf-16", "not-utf-8", "10-MB-line", "unclosed",
        "unopened", "open-string", "braces", "long-block", "long-wire",
    ],
)  # fmt: skip
def test_texts_that_are_no_plans(data: bytes, words: str, folder: Path, plancheck: Caller) -> None:
    (folder / "a.plan").write_bytes(data)
    _refused(plancheck, words)


def test_a_line_of_almost_the_largest_size(folder: Path, plancheck: Caller) -> None:
    (folder / "a.plan").write_bytes(SOUND.encode() + b"door " + b"x" * 3_900_000)
    out = _refused(plancheck, "line 12")
    assert max(map(len, out.splitlines())) < 200


def test_a_hundred_thousand_mistakes(folder: Path, plancheck: Caller) -> None:
    header = 'plan "a"\nrevision "A" dated 2026-11-02\n'
    (folder / "a.plan").write_text(header + "wire A\n" * 100_000, encoding="utf-8")
    outcome = plancheck("review", "a.plan", "--as", "json")
    assert outcome.status == 2
    findings = json.loads(outcome.out)["plans"][0]["findings"]
    # A thousand are told one by one, and that the rest was not read.
    assert [finding["at"]["line"] for finding in findings[:1_000]] == list(range(3, 1_003))
    assert len(findings) == 1_001
    assert findings[-1]["headline"].startswith("There are more")


def test_files_that_are_not_there(folder: Path, plancheck: Caller) -> None:
    _refused(plancheck, "“missing.plan” cannot be read: no such file or directory", "missing.plan")


def test_a_file_that_may_not_be_read(folder: Path, plancheck: Caller) -> None:
    if os.geteuid() == 0:
        (folder / "a.plan").symlink_to("a.plan")
    else:
        (folder / "a.plan").write_text(SOUND, encoding="utf-8")
        (folder / "a.plan").chmod(0)
    _refused(plancheck, "“a.plan” cannot be read: ")


def test_a_folder_without_plans(folder: Path, plancheck: Caller) -> None:
    (folder / "bare").mkdir()
    (folder / "bare/notes.txt").write_text("x", encoding="utf-8")
    _refused(plancheck, "“bare” holds no plan", "bare")


def test_one_unreadable_file_of_several_is_enough(folder: Path, plancheck: Caller) -> None:
    (folder / "a.plan").write_text(SOUND, encoding="utf-8")
    (folder / "b.plan").write_bytes(b"\0")
    outcome = plancheck("review", "a.plan", "b.plan")
    assert outcome.status == 2
    assert "1 of them not wholly read or assessed." in outcome.out


# --- use ---------------------------------------------------------------------------------------------------------


def _files(folder: Path, **texts: str) -> None:
    for name, text in texts.items():
        (folder / f"{name}.plan").write_text(text, encoding="utf-8")


def test_files_that_use_each_other(folder: Path, plancheck: Caller) -> None:
    _files(folder, a='use "b.plan"\n' + SOUND, b='use "a.plan"\n')
    _refused(plancheck, "comes back to itself")


def test_a_file_that_uses_itself(folder: Path, plancheck: Caller) -> None:
    _files(folder, a='use "a.plan"\n' + SOUND)
    _refused(plancheck, "comes back to itself")


def test_files_that_use_files_too_deep(folder: Path, plancheck: Caller) -> None:
    _files(folder, a='use "f0.plan"\n' + SOUND, **{f"f{i}": f'use "f{i + 1}.plan"\n' for i in range(30)})
    _refused(plancheck, "16 deep")


def test_too_many_files(folder: Path, plancheck: Caller) -> None:
    uses = "".join(f'use "f{i}.plan"\n' for i in range(250))
    _files(folder, a=uses + SOUND, **{f"f{i}": "# one\n" for i in range(250)})
    _refused(plancheck, "200 files")


@pytest.mark.parametrize("wanted", ["../secret.plan", "/etc/hostname", "link.plan"])
def test_a_file_outside_the_folder(wanted: str, folder: Path, plancheck: Caller) -> None:
    (folder / "secret.plan").write_text("secret words\n", encoding="utf-8")
    (folder / "site").mkdir()
    (folder / "site/link.plan").symlink_to("../secret.plan")
    (folder / "site/a.plan").write_text(f'use "{wanted}"\n' + SOUND, encoding="utf-8")
    out = _refused(plancheck, f"“{wanted}” cannot be used", "site/a.plan")
    assert "secret words" not in out


def test_a_used_file_that_is_no_text(folder: Path, plancheck: Caller) -> None:
    _files(folder, a='use "b.plan"\n' + SOUND)
    (folder / "b.plan").write_bytes(b"a\0b")
    _refused(plancheck, "“b.plan” cannot be used")


# --- typicals ----------------------------------------------------------------------------------------------------


def test_a_typical_that_places_itself(folder: Path, plancheck: Caller) -> None:
    _files(folder, a=SOUND + "typical t {\n    place t as X\n}\nplace t as D1\n")
    _refused(plancheck, "line 13")


def test_typicals_that_would_make_a_billion_devices(folder: Path, plancheck: Caller) -> None:
    # Nine levels of ten places each.
    levels = "".join(f"typical t{i} {{\n    place t{i + 1} as P1 to P10\n}}\n" for i in range(9))
    last = "typical t9 {\n    push-button SB { contacts 3 A at 30 Vdc }\n}\n"
    _files(folder, a=SOUND + levels + last + "place t0 as D1\n")
    _refused(plancheck, "20,000")


def test_a_range_that_would_place_a_billion(folder: Path, plancheck: Caller) -> None:
    text = "typical t {\n    push-button SB { contacts 3 A at 30 Vdc }\n}\nplace t as D1 to D999999999\n"
    _files(folder, a=SOUND + text)
    _refused(plancheck, "20,000")


# --- what looks odd and is right -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    [
        SOUND.replace("\n", "\r\n"),
        SOUND.replace("\n", "\r"),
        "\ufeff" + SOUND,
        SOUND.replace(" ", "\t"),
        SOUND.replace("PS1", "電源1").replace("SB1", "Кнопка").replace("ES1", "قفل"),
        SOUND.replace("PS1", "Türöffner-Ω"),
        SOUND + "\x0c\n# \u2028 in a comment\n",
        SOUND.rstrip("\n"),
    ],
    ids=["crlf", "cr", "bom", "tabs", "scripts", "umlaut", "form-feed", "no-last-line-end"],
)
def test_odd_texts_that_are_plans(text: str, folder: Path, plancheck: Caller) -> None:
    (folder / "a.plan").write_bytes(text.encode("utf-8"))
    outcome = plancheck("review", "a.plan", "--fail-at", "note")
    assert outcome.status == 0, outcome.out


def test_a_name_that_is_a_terminal_command(folder: Path, plancheck: Caller) -> None:
    (folder / "a.plan").write_text(SOUND.replace("tool room", "tool\u202eroom\u009b2J"), encoding="utf-8")
    outcome = plancheck("review", "a.plan")
    assert "\u202e" not in outcome.out
    assert "\u009b" not in outcome.out


# --- packs -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "data", "words"),
    [
        ("a.rules", b"", "“pack/a.rules” is empty"),
        ("a.rules", b"\0\1\2", "“pack/a.rules” is not a text"),
        ("a.rules", b"nonsense at all\n", "pack/a.rules"),
        ("a.rules", b'pack p "P"\nrule r {\n', "pack/a.rules"),
        ("a.rules", b'rule r { title "x" }\n', "pack/a.rules"),
        ("kinds/a.plan", b"kind {\n", "pack/kinds/a.plan"),
        ("kinds/a.plan", b"kind k is a hat {\n}\n", "pack/kinds/a.plan"),
        ("kinds/a.plan", b"\xff", "“pack/kinds/a.plan” is not written in UTF-8"),
    ],
)
def test_broken_packs(name: str, data: bytes, words: str, folder: Path, plancheck: Caller) -> None:
    (folder / "pack/kinds").mkdir(parents=True)
    (folder / "pack" / name).write_bytes(data)
    (folder / "a.plan").write_text(SOUND, encoding="utf-8")
    outcome = plancheck("review", "a.plan", "--packs", "pack")
    assert outcome.status == 2
    assert words in outcome.out
    for command in (["rules"], ["rules", "trial", "--rule", "file/revision-missing"]):
        told = plancheck(*command, "--packs", "pack")
        assert told.status == 2
        assert words in told.err


# --- the process itself ------------------------------------------------------------------------------------------


def test_a_fault_of_our_own_is_no_pass(folder: Path, plancheck: Caller, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError

    (folder / "a.plan").write_text(SOUND, encoding="utf-8")
    monkeypatch.setattr("plancheck.cli.reviewing.review_text", broken)
    out = _refused(plancheck, "plancheck itself failed on “a.plan”: nothing in it was assessed")
    assert "ZeroDivisionError at cli/" in out


def test_a_fault_of_our_own_in_any_other_command_is_told_as_one(
    plancheck: Caller, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object, **__: object) -> None:
        raise RecursionError

    monkeypatch.setattr("plancheck.cli.rules_command.load_library", broken)
    outcome = plancheck("rules")
    assert outcome.status == 2
    assert "plancheck itself failed (RecursionError at cli/" in outcome.err


def test_a_reader_that_leaves_is_no_fault(folder: Path) -> None:
    (folder / "a.plan").write_text('plan "a"\n' + "wire A\n" * 3_000, encoding="utf-8")
    with started([sys.executable, "-m", "plancheck", "review", "a.plan"]) as run:
        assert run.stdout is not None
        assert run.stderr is not None
        run.stdout.readline()
        run.stdout.close()
        assert run.stderr.read() == b""
    assert run.returncode == 2


def test_a_file_whose_name_is_no_text(folder: Path) -> None:
    name = os.fsdecode(b"a\xff.plan")
    (folder / name).write_text(SOUND, encoding="utf-8")
    for form in ("text", "json"):
        outcome = process(["review", name, "--as", form], folder)
        assert (outcome.status, outcome.err) == (0, "")
        assert "xff.plan" in outcome.out


def test_an_output_in_another_encoding(folder: Path) -> None:
    (folder / "a.plan").write_text(SOUND.replace("tool room", "道具部屋"), encoding="utf-8")
    outcome = process(["review", "a.plan"], folder, PYTHONIOENCODING="latin-1")
    assert (outcome.status, outcome.err) == (0, "")
