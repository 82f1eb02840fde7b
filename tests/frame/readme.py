"""Pages as stories that can be acted out: files that they show, commands that they run, what these print.

`python -m tests.frame.readme` renews what the commands of the pages print.
"""

from __future__ import annotations

import contextlib
import io
import os
import re
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import plancheck
from plancheck.cli.main import main

CHECKOUT = Path(plancheck.__file__).parent.parent
README = CHECKOUT / "README.md"
PAGES = (README, CHECKOUT / "DEVELOPERS.md")
LEFT_OUT = "[…]\n"
"""Stands for lines of an output that a page does not show."""

_BLOCK = re.compile(r"^```(\w+)(?: (\S+))?\n(.*?)^```$", re.MULTILINE | re.DOTALL)


@dataclass(frozen=True, slots=True)
class Command:
    """A command that a page shows behind `$`, what the page says that it prints, and what it prints."""

    line: str
    said: str
    printed: str

    @property
    def shown(self) -> str:
        """What it prints, with lines left out where the page leaves out lines that are there."""
        first, *parts = self.said.split(LEFT_OUT)
        if not parts or not self.printed.startswith(first) or not self.printed.endswith(parts[-1]):
            return self.printed
        rest = self.printed[len(first) :]
        for part in parts:
            if part not in rest:
                return self.printed
            rest = rest[rest.index(part) + len(part) :]
        return self.said


def acted_out(page: Path) -> list[Command]:
    """Writes the files of a page into the current folder and runs its commands, in order."""
    ran: list[Command] = []
    for language, name, body in _BLOCK.findall(page.read_text(encoding="utf-8")):
        if language == "console":
            ran += [Command(line, said, _printed(line)) for line, said in _commands(body)]
        elif name:
            Path(name).parent.mkdir(parents=True, exist_ok=True)
            Path(name).write_text(body, encoding="utf-8")
    return ran


def _commands(body: str) -> list[tuple[str, str]]:
    first, *others = re.split(r"^\$ ", body, flags=re.MULTILINE)
    assert first == "", "a console block begins with its command"
    return [(line, said) for line, _, said in (command.partition("\n") for command in others)]


def _printed(line: str) -> str:
    name, *arguments = line.split()
    assert name == "plancheck"
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        main(arguments)
    assert err.getvalue() == ""
    return out.getvalue()


def shown_files(page: Path) -> list[str]:
    """Names of the files that a page shows."""
    return [name for language, name, _ in _BLOCK.findall(page.read_text(encoding="utf-8")) if name]


def shell_lines(page: Path) -> list[str]:
    """Lines of the `sh` blocks: what a reader copies."""
    bodies = [body for language, _, body in _BLOCK.findall(page.read_text(encoding="utf-8")) if language == "sh"]
    return [line for body in bodies for line in body.splitlines() if line and not line.startswith("#")]


def renew(page: Path) -> None:
    """Puts what the commands print in place of what the page said that they print."""
    ran = iter(acted_out(page))

    def renewed(block: re.Match[str]) -> str:
        if block[1] != "console":
            return block[0]
        commands = [next(ran) for _ in _commands(block[3])]
        return "```console\n" + "".join(f"$ {c.line}\n{c.shown}" for c in commands) + "```"

    replace: Callable[[re.Match[str]], str] = renewed
    page.write_text(_BLOCK.sub(replace, page.read_text(encoding="utf-8")), encoding="utf-8")


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        os.chdir(folder)
        for each in PAGES:
            renew(each)
