"""What is wrong with a command is said in a line or two of our own words, with exit status 2."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

import plancheck as package
from tests.cli.calling import CHECKOUT, Caller


@pytest.mark.parametrize(
    ("command", "words"),
    [
        ("", "Say what to do"),
        ("reveiw x.plan", "no command “reveiw”. Did you mean “review”?"),
        ("review", "Say which plan to review"),
        ("review x.plan --as xml", "--as: “xml” is none of text, json, sarif."),
        ("review x.plan --as", "--as needs a value behind it."),
        ("review x.plan --fail-at fatal", "--fail-at: “fatal” is none of error, warning, note."),
        ("review x.plan --width wide", "--width: “wide” is no number of columns from 40 to 400."),
        ("review x.plan --width 39", "--width: “39” is no number of columns"),
        ("review x.plan --width 99999999999999999999", "is no number of columns"),
        ("review x.plan --width -5", "--width"),
        ("review x.plan --as-of 2026-13-01", "--as-of: “2026-13-01” is no day written like 2026-11-20."),
        ("review x.plan --as-of 20261120", "is no day written like 2026-11-20."),
        ("review x.plan --quick", "“--quick” is not an option of `plancheck review`."),
        ("review x.plan --wid 80", "“--wid” is not an option of `plancheck review`."),
        ("review x.plan --packs nowhere", "--packs: “nowhere” is no folder."),
        ("review x.plan --to nowhere/x.txt", "--to: the folder of “nowhere/x.txt” does not exist."),
        ("review x.plan --to .", "--to: “.” is a folder; name a file."),
        ("review x.plan --to=", "--to: “” is a folder; name a file."),
        ("rules shwo x", "knows show, trial, words, why, new and manual, not “shwo”. Did you mean “show”?"),
        ("rules show", "Say which rule to show"),
        ("rules show a b", "“b” is one word too many"),
        ("rules trial a b", "“b” is one word too many"),
        ("rules --as json", "“--as” is not an option of `plancheck rules`."),
    ],
)
def test_refusals(command: str, words: str, plancheck: Caller) -> None:
    outcome = plancheck(*command.split())
    assert outcome.status == 2
    assert outcome.out == ""
    assert words in outcome.err
    assert len(outcome.err.splitlines()) <= 3


@pytest.mark.parametrize(
    ("command", "words"),
    [
        ("--help", "plancheck review PATH…"),
        ("-h", "plancheck review PATH…"),
        ("help", "plancheck review PATH…"),
        ("help review", "--fail-at SEVERITY"),
        ("review --help", "--fail-at SEVERITY"),
        ("review x.plan --nonsense -h", "--fail-at SEVERITY"),
        ("existing --help", "--shorten"),
        ("rules --help", "plancheck rules trial [DIR]"),
        ("--version", f"plancheck {package.__version__}\n"),
    ],
)
def test_help_and_version(command: str, words: str, plancheck: Caller) -> None:
    outcome = plancheck(*command.split())
    assert (outcome.status, outcome.err) == (0, "")
    assert words in outcome.out
    assert max(map(len, outcome.out.splitlines())) <= 80


def test_help_tells_every_option(plancheck: Caller) -> None:
    told = plancheck("review", "--help").out
    assert [o for o in ("--as", "--to", "--packs", "--fail-at", "--width", "--as-of") if o not in told] == []


def test_help_imports_nothing_heavy() -> None:
    listing = "import sys; from plancheck.cli.main import main; main(['--help']); print(*sorted(sys.modules))"
    environment = {**os.environ, "PYTHONPATH": str(CHECKOUT)}
    done = subprocess.run([sys.executable, "-c", listing], capture_output=True, text=True, check=True, env=environment)
    loaded = set(done.stdout.split("\n")[-2].split())
    heavy = {"lark", "pydantic", "networkx", "numpy", "pint", "dataclasses", "inspect", "typing_extensions"}
    assert loaded & heavy == set()


def test_a_terminal_command_in_an_argument_is_shown_and_not_obeyed(plancheck: Caller) -> None:
    assert "\x1b" not in plancheck("rev\x1b[2Jiew").err
