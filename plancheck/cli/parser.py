"""The command line's words. Imports nothing but argparse: `--help` is asked for more often than a review."""

from __future__ import annotations

import argparse
import re
from collections.abc import Callable, Sequence
from typing import NoReturn

from plancheck.cli.help_texts import HELP
from plancheck.library.refusal import UsageError

SEVERITIES = ("error", "warning", "note")
FORMATS = ("text", "json", "sarif")
DOCUMENT_FORMATS = ("text", "json", "csv")
NARROWEST, WIDEST = 40, 400


class _Parser(argparse.ArgumentParser):
    """argparse, with its refusals said in our words."""

    def error(self, message: str) -> NoReturn:
        valueless = re.fullmatch(r"argument (\S+): expected one argument", message)
        if valueless:
            raise UsageError(f"{valueless[1]} needs a value behind it.")
        own = re.fullmatch(r"argument (\S+): (.*)", message, re.DOTALL)
        raise UsageError(f"{own[1]}: {own[2]}" if own else message)


def parse(arguments: Sequence[str]) -> argparse.Namespace:
    """What the command line asks for: `command` is a command, `help` or `version`."""
    command, rest = (arguments[0], arguments[1:]) if arguments else ("", [])
    if command in ("--help", "-h", "help"):
        return argparse.Namespace(command="help", about=rest[0] if rest and rest[0] in HELP else "")
    if command == "--version":
        return argparse.Namespace(command="version")
    if command not in _PARSERS:
        raise UsageError(_no_such_command(command))
    if "--help" in rest or "-h" in rest:
        return argparse.Namespace(command="help", about=command)
    options, unknown = _PARSERS[command]().parse_known_intermixed_args(rest)
    if unknown:
        raise UsageError(f"“{unknown[0]}” is not an option of `plancheck {command}`.")
    options.command = command
    _CHECKS[command](options)
    return options


def _no_such_command(command: str) -> str:
    if not command:
        return "Say what to do: `plancheck review PATH…` or `plancheck rules`."
    from plancheck.nearest import did_you_mean

    return f"There is no command “{command}”. {did_you_mean(command, _PARSERS)}".rstrip()


def _parser() -> _Parser:
    parser = _Parser(add_help=False, allow_abbrev=False)
    parser.add_argument("--packs", action="append", default=[])
    parser.add_argument("--house", default=None)
    parser.add_argument("--to", default=None)
    parser.add_argument("--width", type=_columns, default=None)
    return parser


def _review_parser() -> _Parser:
    parser = _parser()
    parser.add_argument("paths", nargs="*")
    parser.add_argument("--as", dest="form", type=_one_of(FORMATS), default="text")
    parser.add_argument("--full", action="store_true")
    parser.add_argument("--fail-at", type=_one_of(SEVERITIES), default="warning")
    parser.add_argument("--as-of", type=_day, default=None)
    parser.add_argument("--existing", default=None)
    parser.add_argument("--index", default=None)
    parser.add_argument("--processes", type=_processes, default=None)
    return parser


def _readings_parser() -> _Parser:
    parser = _parser()
    parser.add_argument("paths", nargs="*")
    parser.add_argument("--as", dest="form", type=_one_of(("text", "json")), default="text")
    return parser


def _check_readings(options: argparse.Namespace) -> None:
    if len(options.paths) < 2:
        raise UsageError("Say of which plan, and which sheet: `plancheck readings PLAN FILE.csv`.")
    if len(options.paths) > 2:
        raise UsageError(f"“{options.paths[2]}” is one file too many for `plancheck readings`.")


def _compare_parser() -> _Parser:
    parser = _parser()
    parser.add_argument("paths", nargs="*")
    parser.add_argument("--as", dest="form", type=_one_of(("text", "json")), default="text")
    parser.add_argument("--as-of", type=_day, default=None)
    return parser


def _check_compare(options: argparse.Namespace) -> None:
    if len(options.paths) < 2:
        raise UsageError("Say which two revisions: `plancheck compare OLD NEW`.")
    if len(options.paths) > 2:
        raise UsageError(f"“{options.paths[2]}” is one plan too many for `plancheck compare`.")


def _submittal_parser() -> _Parser:
    parser = _Parser(add_help=False, allow_abbrev=False)
    parser.add_argument("paths", nargs="*")
    parser.add_argument("--packs", action="append", default=[])
    parser.add_argument("--house", default=None)
    parser.add_argument("--to", default=None)
    parser.add_argument("--fail-at", type=_one_of(SEVERITIES), default="warning")
    parser.add_argument("--as-of", type=_day, default=None)
    parser.add_argument("--processes", type=_processes, default=None)
    return parser


def _check_submittal(options: argparse.Namespace) -> None:
    if not options.paths:
        raise UsageError("Say of which plans: `plancheck submittal PATH… --to DIR`.")
    if options.to is None:
        raise UsageError("Say into which folder: `plancheck submittal PATH… --to DIR`.")


def _existing_parser() -> _Parser:
    parser = _parser()
    parser.add_argument("paths", nargs="*")
    parser.add_argument("--replace", action="store_true")
    parser.add_argument("--shorten", action="store_true")
    parser.add_argument("--as-of", type=_day, default=None)
    parser.add_argument("--processes", type=_processes, default=None)
    return parser


def _rules_parser() -> _Parser:
    parser = _parser()
    parser.add_argument("words", nargs="*")
    parser.add_argument("--why", action="store_true")
    parser.add_argument("--rule", default=None)
    parser.add_argument("--on", default=None)
    return parser


def _document_parser() -> _Parser:
    parser = _parser()
    parser.add_argument("paths", nargs="*")
    parser.add_argument("--door", dest="doors", action="append", default=[])
    parser.add_argument("--as", dest="form", type=_one_of(DOCUMENT_FORMATS), default="text")
    return parser


def _editor_parser() -> _Parser:
    parser = _Parser(add_help=False, allow_abbrev=False)
    parser.add_argument("words", nargs="*")
    parser.add_argument("--packs", action="append", default=[])
    parser.add_argument("--house", default=None)
    parser.add_argument("--port", type=_port, default=None)
    parser.add_argument("--host", default=None)
    parser.add_argument("--as-of", type=_day, default=None)
    return parser


def _check_editor(options: argparse.Namespace) -> None:
    if options.words:
        raise UsageError(f"“{options.words[0]}” is one word too many: the editor says which texts are open.")
    if options.host is not None and options.port is None:
        raise UsageError("--host belongs to --port.")
    options.host = options.host or "127.0.0.1"


def _fair_copy_parser() -> _Parser:
    parser = _Parser(add_help=False, allow_abbrev=False)
    parser.add_argument("paths", nargs="*")
    parser.add_argument("--tell", action="store_true")
    parser.add_argument("--as", dest="form", type=_one_of(("plan", "rules")), default=None)
    return parser


def _check_fair_copy(options: argparse.Namespace) -> None:
    if not options.paths:
        raise UsageError("Say what to lay out: a file, a folder, or - for standard input.")
    if "-" in options.paths and len(options.paths) > 1:
        raise UsageError("- stands alone: standard input goes to standard output.")
    if options.form is not None and options.paths != ["-"]:
        raise UsageError("--as belongs to -: a file's name says what it holds.")


def _port(text: str) -> int:
    if not (text.isascii() and text.isdigit() and int(text[:9]) < 65_536):
        raise argparse.ArgumentTypeError(f"“{text}” is no port: a number from 0 to 65535.")
    return int(text)


def _check_document(options: argparse.Namespace) -> None:
    if not options.paths:
        raise UsageError(f"Say of which plan: `plancheck {options.command} PATH`.")
    if len(options.paths) > 1:
        raise UsageError(f"“{options.paths[1]}” is one plan too many for `plancheck {options.command}`.")


def _check_review(options: argparse.Namespace) -> None:
    if not options.paths:
        raise UsageError("Say which plan to review: a file, or a folder of .plan files.")


def _check_existing(options: argparse.Namespace) -> None:
    if not options.paths:
        raise UsageError("Say of which plans: `plancheck existing PATH… --to FILE`.")
    if options.to is None:
        raise UsageError("Say where the record goes: `plancheck existing PATH… --to FILE`.")
    if options.replace and options.shorten:
        raise UsageError("--replace writes a new record, --shorten keeps the old one: give one of them.")


_RULES_WORDS = {"list": 0, "show": 1, "trial": 1, "words": 1, "why": 2, "new": 1, "manual": 0}
"""What may stand behind `plancheck rules`, each with the words that it takes at most."""


def _check_rules(options: argparse.Namespace) -> None:
    what, *about = options.words or ["list"]
    options.what, options.about = what, about[0] if about else None
    options.plan = about[1] if len(about) > 1 else None
    if what not in _RULES_WORDS:
        from plancheck.nearest import did_you_mean

        known = [word for word in _RULES_WORDS if word != "list"]
        told = f"{', '.join(known[:-1])} and {known[-1]}"
        raise UsageError(f"`plancheck rules` knows {told}, not “{what}”. {did_you_mean(what, known)}".rstrip())
    if what in ("show", "why") and not about:
        raise UsageError(f"Say which rule to show: `plancheck rules {_usage_of(what)}`.")
    if what == "why" and len(about) == 1:
        raise UsageError("Say of which plan: `plancheck rules why ID PLAN`.")
    if what == "new" and not about:
        raise UsageError("Say what the rule is called: `plancheck rules new PACK/NAME`.")
    if len(about) > _RULES_WORDS[what]:
        raise UsageError(f"“{about[-1]}” is one word too many for `plancheck rules {what}`.")
    for option, given, belongs in (
        ("--why", options.why, "trial"), ("--rule", options.rule is not None, "trial"),
        ("--on", options.on is not None, "why"),
    ):  # fmt: skip
        if given and what != belongs:
            raise UsageError(f"{option} belongs to `plancheck rules {belongs}`.")


def _usage_of(what: str) -> str:
    return "why ID PLAN" if what == "why" else "show ID"


def _one_of(choices: Sequence[str]) -> Callable[[str], str]:
    def read(text: str) -> str:
        if text not in choices:
            raise argparse.ArgumentTypeError(f"“{text}” is none of {', '.join(choices)}.")
        return text

    return read


def _columns(text: str) -> int:
    if not (text.isascii() and text.isdigit() and NARROWEST <= int(text[:9]) <= WIDEST):
        raise argparse.ArgumentTypeError(f"“{text}” is no number of columns from {NARROWEST} to {WIDEST}.")
    return int(text)


def _processes(text: str) -> int:
    if not (text.isascii() and text.isdigit() and 1 <= int(text[:9]) <= 1024):
        raise argparse.ArgumentTypeError(f"“{text}” is no number of processes from 1 to 1024.")
    return int(text)


def _day(text: str) -> str:
    from datetime import date

    try:
        return date.fromisoformat(text if len(text) == 10 else "").isoformat()
    except ValueError:
        raise argparse.ArgumentTypeError(f"“{text}” is no day written like 2026-11-20.") from None


_PARSERS = {
    "review": _review_parser,
    "sequence": _document_parser,
    "failures": _document_parser,
    "submittal": _submittal_parser,
    "compare": _compare_parser,
    "readings": _readings_parser,
    "existing": _existing_parser,
    "editor": _editor_parser,
    "fair-copy": _fair_copy_parser,
    "rules": _rules_parser,
}
_CHECKS = {
    "review": _check_review,
    "sequence": _check_document,
    "failures": _check_document,
    "submittal": _check_submittal,
    "compare": _check_compare,
    "readings": _check_readings,
    "existing": _check_existing,
    "editor": _check_editor,
    "fair-copy": _check_fair_copy,
    "rules": _check_rules,
}
