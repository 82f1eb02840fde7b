"""The `plancheck` command. What a command needs is imported when that command is asked for."""

from __future__ import annotations

import sys
from argparse import Namespace
from collections.abc import Sequence


def main(arguments: Sequence[str] | None = None) -> int:
    """Runs one command and returns its exit status; usage and interruptions are told in a line."""
    from plancheck.cli.parser import parse
    from plancheck.library.refusal import UsageError

    try:
        options = parse(sys.argv[1:] if arguments is None else arguments)
        if options.command in ("help", "version"):
            return _tell(options)
        if options.command == "editor":
            from plancheck.cli.editor_command import editor

            return editor(options)
        return _work(options, last=arguments is None)
    except UsageError as refusal:
        return _refuse(f"plancheck: {refusal}\n           `plancheck --help` shows what can be asked.\n")
    except KeyboardInterrupt:
        return _refuse("plancheck: stopped before the end; nothing was assessed.\n")
    # The last guard: exit status 1 would say that all was read, and something found.
    except Exception as fault:
        from plancheck.library.own_fault import where_raised

        return _refuse(f"plancheck itself failed ({where_raised(fault)}); nothing was assessed. Report it.\n")


def _work(options: Namespace, last: bool) -> int:
    """The commands that load rules. They build much that stays and hardly any rings of it: the collector of rings
    would take a quarter of the time for nothing. Where the process ends with the command (`last`), it need not
    search at the end either, which takes a tenth of a second.
    """
    import gc

    collecting = gc.isenabled()
    gc.disable()
    try:
        if options.command == "review":
            from plancheck.cli.review_command import review

            return review(options)
        if options.command == "fair-copy":
            from plancheck.cli.fair_copy_command import fair

            return fair(options)
        if options.command in ("sequence", "failures"):
            from plancheck.cli.document_commands import document

            return document(options)
        if options.command == "submittal":
            from plancheck.cli.submittal_command import submittal

            return submittal(options)
        if options.command == "readings":
            from plancheck.cli.readings_command import readings

            return readings(options)
        if options.command == "compare":
            from plancheck.cli.compare_command import compare

            return compare(options)
        if options.command == "existing":
            from plancheck.cli.existing_command import existing

            return existing(options)
        from plancheck.cli.rules_command import rules

        return rules(options)
    finally:
        if last:
            gc.freeze()
        if collecting:
            gc.enable()


def _tell(options: Namespace) -> int:
    from plancheck.cli.help_texts import HELP
    from plancheck.cli.output import put

    about = getattr(options, "about", None)
    if about is None:
        from plancheck import __version__

        return put(f"plancheck {__version__}\n")
    return put(HELP[about])


def _refuse(text: str) -> int:
    from plancheck.cli.output import UNREAD, complain

    complain(text)
    return UNREAD
