"""The command line's words. Imports nothing but argparse: `--help` is asked for more often than a review."""

from __future__ import annotations

import argparse
import re
from collections.abc import Callable, Sequence
from typing import NoReturn

from plancheck.library.refusal import UsageError

SEVERITIES = ("error", "warning", "note")
FORMATS = ("text", "json")
DOCUMENT_FORMATS = ("text", "json", "csv")
NARROWEST, WIDEST = 40, 400

_OVERVIEW = """\
usage: plancheck review PATH… [options]
       plancheck sequence PATH [options]
       plancheck failures PATH [options]
       plancheck existing PATH… --to FILE [options]
       plancheck editor [options]
       plancheck rules [show ID | trial [DIR] | words [WORD] | why ID PLAN |
                        new ID | manual] [options]

Reads wiring plans of electric locks and gates, works out every operating
condition, and holds it against rules.

  review    prints a correction list for each plan, worst first
  sequence  tells how each door and gate works, event by event
  failures  tells what each single failure does, worst first
  existing  records what is found today, so that a review shows what is new
  editor    serves an editor that speaks LSP: mistakes while they are typed
  rules     lists the rules, explains one, tries their examples, tells why one
            judged as it did, begins a new one, writes the manual

  plancheck COMMAND --help says more; plancheck --version says which this is.
"""

_REVIEW = """\
usage: plancheck review PATH… [options]

Reviews plans: files, or folders in which every file ending in .plan is one.

  --as text|json         a correction list to read, or JSON (text)
  --full                 each counterexample step by step, to be done again on
                         site: events, contacts, volts along the path; and the
                         rules that were run by name
  --to FILE              write there instead; a file appears whole or not at all
  --packs DIR            rules and device kinds of your own, beside the shipped
                         ones; may be given again
  --house FILE           your company's own file, which names packs; without it,
                         plancheck.house beside the plan or above it, up to the
                         folder given or the one you work in
  --fail-at SEVERITY     error, warning or note: from which on findings make the
                         exit status 1 (warning)
  --width COLUMNS        width of the text, 40 to 400 (the terminal's, or 100)
  --as-of YYYY-MM-DD     the day by which variances are judged (today)
  --existing FILE        leave out what this record of existing findings holds,
                         except life safety and what has become worse

Exit status: 0 wholly analysed and nothing at or above --fail-at; 1 findings;
2 something was not read or analysed, or the command was not understood.
"""

_EXISTING = """\
usage: plancheck existing PATH… --to FILE [options]

Records what a review finds in plans that are taken on as they are. Then
`plancheck review PATH… --existing FILE` shows what is new, what has become
worse, and always what is life safety, which is never recorded; nor is what
could not be read or judged, nor what has a variance.

  --to FILE              the record: a text, a line to a finding
  --replace              write over a record that is there
  --shorten              only take out of the record that is there what has
                         gone since; nothing is added
  --packs DIR            rules and device kinds of your own, beside the shipped
                         ones; may be given again
  --house FILE           your company's own file, which names packs
  --as-of YYYY-MM-DD     the day that the record bears, and by which variances
                         are judged (today)
  --width COLUMNS        width of the text, 40 to 400 (the terminal's, or 100)

Exit status: 0 recorded; 2 something was not read or analysed, or the command
was not understood. Of a plan that was not wholly read nothing is recorded.
"""

_EDITOR = """\
usage: plancheck editor [options]

Serves one editor over the Language Server Protocol, through standard input and
output, until the editor goes: findings while a plan or a rule is typed, what
was worked out, completion, renaming, fixes. The README shows how editors are
told to start it.

  --port NUMBER          wait for the editor at this TCP port instead; 0 takes a
                         free one, which is told on standard error
  --host ADDRESS         the address to wait at (127.0.0.1)
  --packs DIR            rules and device kinds of your own, beside the shipped
                         ones; may be given again
  --house FILE           your company's own file, which names packs; without it,
                         plancheck.house beside a plan or above it, up to the
                         folder that is open in the editor
  --as-of YYYY-MM-DD     the day by which variances are judged (today)

Exit status: 0 the editor said that it goes; 1 it went without a word; 2 the
command was not understood, or the port cannot be had.
"""

_RULES = """\
usage: plancheck rules                 every rule with severity and title
       plancheck rules show ID         one rule: basis, limits, examples
       plancheck rules trial [DIR]     run the rules' own examples; only those
                                       of one pack where its folder is given
       plancheck rules words [WORD]    the words that a rule may use
       plancheck rules why ID PLAN     why a rule judged a plan as it did: what
                                       it went through and left out, and what
                                       each expression came to
       plancheck rules new ID          a commented file to start a rule from
       plancheck rules manual          every rule on a page of its own

  --why                  after a trial, why of each example that went wrong;
                         with --rule, of every example
  --rule ID              try only this rule
  --on NAME              tell only why of this door, device or other thing
  --packs DIR            rules and device kinds of your own, beside the shipped
                         ones; may be given again
  --house FILE           your company's own file, which names packs
  --to FILE              write there instead; the manual is written for browser
                         and print where FILE ends in .html, else as Markdown;
                         `new` never writes over a file
  --width COLUMNS        width of the text, 40 to 400 (the terminal's, or 100)

Exit status: 0; 1 an example did not do what it says; 2 a rule or the command
was not understood.
"""

_DOCUMENT = """\
  --door NAME            only that door or gate; may be given again
  --as text|json|csv     a document to read, JSON, or a line for each row (text)
  --to FILE              write there instead; a file appears whole or not at all
  --packs DIR            rules and device kinds of your own, beside the shipped
                         ones; may be given again
  --house FILE           your company's own file, which names packs; without it,
                         plancheck.house beside the plan or above it, up to the
                         folder given or the one you work in
  --width COLUMNS        width of the text, 40 to 400 (the terminal's, or 100)

Exit status: 0 everything was worked out; 2 something was not read or not
assessed, or the command was not understood.
"""

_SEQUENCE = (
    """\
usage: plancheck sequence PATH [options]

Works out the sequence of operation of a plan: for each door and gate what is
held and what lets go in normal condition, with each credential and each way
out, on fire alarm, without mains, without reserves, and afterwards.

"""
    + _DOCUMENT
)

_FAILURES = (
    """\
usage: plancheck failures PATH [options]

Works out what each single failure does to each door and gate of a plan, worst
first, alike ones together: whom it locks in, which release or protection it
takes away, what it leaves open; and what was not covered.

"""
    + _DOCUMENT
)

HELP = {
    "": _OVERVIEW,
    "review": _REVIEW,
    "sequence": _SEQUENCE,
    "failures": _FAILURES,
    "existing": _EXISTING,
    "editor": _EDITOR,
    "rules": _RULES,
}


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
    return parser


def _existing_parser() -> _Parser:
    parser = _parser()
    parser.add_argument("paths", nargs="*")
    parser.add_argument("--replace", action="store_true")
    parser.add_argument("--shorten", action="store_true")
    parser.add_argument("--as-of", type=_day, default=None)
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
    "existing": _existing_parser,
    "editor": _editor_parser,
    "rules": _rules_parser,
}
_CHECKS = {
    "review": _check_review,
    "sequence": _check_document,
    "failures": _check_document,
    "existing": _check_existing,
    "editor": _check_editor,
    "rules": _check_rules,
}
