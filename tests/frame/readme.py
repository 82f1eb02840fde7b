"""The README as a story that can be acted out: files that it shows, commands that it runs, what they print."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

import plancheck

CHECKOUT = Path(plancheck.__file__).parent.parent
README = CHECKOUT / "README.md"

_BLOCK = re.compile(r"^```(\w+)(?: (\S+))?\n(.*?)^```$", re.MULTILINE | re.DOTALL)


@dataclass(frozen=True, slots=True)
class File:
    """A file that the README shows: its name stands behind the language."""

    name: str
    text: str


@dataclass(frozen=True, slots=True)
class Command:
    """A command that the README shows behind `$`, and what it prints."""

    words: tuple[str, ...]
    printed: str


def steps() -> list[File | Command]:
    """Files and `console` commands in the order of the README."""
    found: list[File | Command] = []
    for language, name, body in _BLOCK.findall(README.read_text(encoding="utf-8")):
        if language == "console":
            found += _commands(body)
        elif name:
            found.append(File(name, body))
    return found


def _commands(body: str) -> list[Command]:
    first, *others = re.split(r"^\$ ", body, flags=re.MULTILINE)
    assert first == "", "a console block begins with its command"
    parts = (command.partition("\n") for command in others)
    return [Command(tuple(line.split()), printed) for line, _, printed in parts]


def shell_lines() -> list[str]:
    """Lines of the `sh` blocks: what a reader copies."""
    bodies = [body for language, _, body in _BLOCK.findall(README.read_text(encoding="utf-8")) if language == "sh"]
    return [line for body in bodies for line in body.splitlines() if line and not line.startswith("#")]
