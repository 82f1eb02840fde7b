"""`plancheck fair-copy`: plans and rules laid out, without a word changed."""

from __future__ import annotations

import sys
from argparse import Namespace

from plancheck.authoring.fair_copy import fair_copy
from plancheck.cli.output import UNREAD, UnwritableError, complain, put, write_whole
from plancheck.library.files import find_plans, read_text, shown_name
from plancheck.source import Source

ENDINGS = (".plan", ".rules")
WOULD_CHANGE = 1


def fair(options: Namespace) -> int:
    """Lays out what the command line names and returns the exit status."""
    return _one_text(options) if options.paths == ["-"] else _files(options)


def _one_text(options: Namespace) -> int:
    """Standard input to standard output."""
    name = "standard input"
    try:
        text = sys.stdin.buffer.read().decode("utf-8")
    except UnicodeDecodeError:
        complain(f"plancheck: {name} is not written in UTF-8.\n")
        return UNREAD
    copy = fair_copy(Source(name, text), options.form == "rules")
    if options.tell:
        return put(f"{name}\n", WOULD_CHANGE) if copy != text else 0
    sys.stdout.reconfigure(encoding="utf-8", newline="")  # type: ignore[union-attr]
    return put(copy)


def _files(options: Namespace) -> int:
    """Each file in its place."""
    found = find_plans(options.paths, ENDINGS, "no file ending in .plan or .rules")
    troubles = [mistake.headline for _, mistake in found.troubles]
    changed: list[str] = []
    for path in found.plans:
        source, mistake = read_text(path)
        if mistake is not None:
            troubles.append(mistake.headline)
            continue
        copy = fair_copy(source, path.name.endswith(".rules"))
        if copy == source.text:
            continue
        try:
            if not options.tell:
                write_whole(str(path), copy, keep_mode=True)
            changed.append(shown_name(path))
        except UnwritableError as refusal:
            troubles.append(str(refusal).rstrip("."))
    for trouble in troubles:
        complain(f"plancheck: {trouble}.\n")
    status = WOULD_CHANGE if options.tell and changed else 0
    return put("".join(f"{name}\n" for name in changed), UNREAD if troubles else status)
