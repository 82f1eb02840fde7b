"""The `plancheck` command. What a command needs is imported when that command is asked for."""

from __future__ import annotations

import sys
from collections.abc import Sequence


def main(arguments: Sequence[str] | None = None) -> int:
    """Runs one command and returns its exit status; usage and interruptions are told in a line."""
    from plancheck.cli.parser import UsageError, parse

    try:
        options = parse(sys.argv[1:] if arguments is None else arguments)
        if options.command == "review":
            from plancheck.cli.review_command import review

            return review(options)
        if options.command == "rules":
            from plancheck.cli.rules_command import rules

            return rules(options)
        return _tell(options)
    except UsageError as refusal:
        return _refuse(f"plancheck: {refusal}\n           `plancheck --help` shows what can be asked.\n")
    except KeyboardInterrupt:
        return _refuse("plancheck: stopped before the end; nothing was assessed.\n")


def _tell(options: object) -> int:
    from plancheck.cli.output import put
    from plancheck.cli.parser import HELP

    about = getattr(options, "about", None)
    if about is None:
        from plancheck import __version__

        return put(f"plancheck {__version__}\n")
    return put(HELP[about])


def _refuse(text: str) -> int:
    from plancheck.cli.output import UNREAD, complain

    complain(text)
    return UNREAD
