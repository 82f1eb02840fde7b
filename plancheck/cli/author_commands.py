"""What a rule's author asks: why a rule judged as it did, a file to start from, the manual."""

from __future__ import annotations

import os
import re
from argparse import Namespace
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from plancheck.cli.output import UNREAD, complain, put, written
from plancheck.library.files import IncludeReader, read_text, shown_name
from plancheck.library.load import Library, load_library
from plancheck.library.refusal import UsageError
from plancheck.nearest import nearest
from plancheck.plan.adopt import adopted_by
from plancheck.review.review import review_text
from plancheck.source import Source

if TYPE_CHECKING:
    from plancheck.render.layout import Page
    from plancheck.rulebook.rule import Rule, Rulebook
    from plancheck.rulebook.trial import Trial
    from plancheck.rulebook.why import Account

_NAME = r"[^\W\d_][\w\-]*"
_ID = re.compile(rf"({_NAME})/({_NAME})")


def rule_called(name: str, library: Library) -> Rule:
    """The rule of that id. Raises UsageError, with a hint at one of a like id, the pack said or left out."""
    rule = library.rulebook.get(name)
    if rule is not None:
        return rule
    ids = library.rulebook.by_id
    bare = {rule_id.partition("/")[2]: rule_id for rule_id in ids}
    near = nearest(name, ids) or bare.get(nearest(name, bare) or "")
    hint = f" Did you mean “{near}”?" if near else ""
    raise UsageError(f"There is no rule “{name}”.{hint}")


# --- why ---------------------------------------------------------------------------------------------------


def why(options: Namespace, library: Library, page: Page) -> int:
    """Why a rule judged a plan as it did."""
    from plancheck.render.why_page import why_page
    from plancheck.rulebook.why import account

    rule, path = rule_called(options.about, library), Path(options.plan)
    source, mistake = read_text(path)
    if mistake is not None:
        complain(f"plancheck: {mistake.headline}.\n")
        return UNREAD

    choice = library.choice(adopted_by(source))
    if choice.rulebook.get(rule.id) is None:
        raise UsageError(f"{rule.id} does not apply to this plan: its pack is not adopted, or switches it off.")

    def review(book: Rulebook) -> object:
        include = IncludeReader(path, source, library.folders, choice.adopted.texts)
        day, packs = date.today(), library.packs
        return review_text(source, choice.kinds, book, include, day, packs=packs, adopted=choice.adopted)

    told = account(choice.rulebook.by_id[rule.id], choice.rulebook, review)  # type: ignore[arg-type]
    unread = UNREAD if told.reviewed.mistakes else 0
    return written(why_page(told, source.name, page, options.on or ""), options.to, unread)


def whys(trials: Sequence[Trial], library: Library, page: Page, every: bool) -> str:
    """Why rules judged their own examples as they did: those that went wrong, or every one."""
    from plancheck.render.why_page import why_page

    chosen = [trial for trial in trials if every or not trial.right]
    return "".join("\n" + why_page(_on_example(trial, library), _title(trial), page) for trial in chosen)


def _on_example(trial: Trial, library: Library) -> Account:
    from plancheck.rulebook.why import account

    source = trial.example.source

    def review(book: Rulebook) -> object:
        return review_text(source, library.kinds, book, _alone, date.today(), excerpt=True)

    return account(trial.rule, library.rulebook, review)  # type: ignore[arg-type]


def _title(trial: Trial) -> str:
    must = "must pass" if trial.example.passes else "must fail"
    return f"“{trial.example.title}”, which {must}"


def _alone(wanted: str, by: Source) -> str:
    return "nothing: an example stands for itself"


# --- new ---------------------------------------------------------------------------------------------------


def new(options: Namespace) -> int:
    """A commented file to start a rule from. Nothing that stands there already is touched."""
    from plancheck.shipped import rules_folder

    match = _ID.fullmatch(options.about)
    if match is None:
        example = options.about if re.fullmatch(_NAME, options.about) else "run-gauge"
        raise UsageError(
            f"“{options.about}” is no id of a rule: PACK/NAME, each of letters, digits and hyphens and beginning with "
            f"a letter, such as house/{example}."
        )
    pack, name = match.groups()
    folder = _folder_of(options.to)
    _refuse_taken(pack, name, folder, [*options.packs, *_with_rules(folder)])
    text = (rules_folder() / "new-rule.text").read_text(encoding="utf-8")
    text = text.replace("PACK-LINE", _pack_line(pack, folder)).replace("RULE-NAME", name)
    if options.to is None:
        return put(text)
    status = _create(options.to, text)
    return status or put(f"{shown_name(options.to)} holds the rule {pack}/{name} to start from. Try it:\n"
                         f"    plancheck rules trial {shown_name(folder or '.')}\n")  # fmt: skip


def _folder_of(to: str | None) -> Path | None:
    """The folder of the file to write, which must be there."""
    if to is None:
        return None
    if not to.endswith(".rules"):
        raise UsageError(f"--to: “{to}” does not end in .rules, and no other file of a pack holds rules.")
    folder = Path(to).parent
    if not folder.is_dir():
        raise UsageError(f"--to: the folder of “{to}” does not exist.")
    if os.path.lexists(to):
        raise UsageError(
            f"--to: “{to}” is there already and was left as it is. A pack may have several files: name another."
        )
    return folder


def _with_rules(folder: Path | None) -> list[str]:
    """The folder as a pack, where rules stand in it already."""
    return [str(folder)] if folder is not None and any(folder.glob("*.rules")) else []


def _refuse_taken(pack: str, name: str, folder: Path | None, folders: Sequence[str]) -> None:
    shipped = load_library([]).rulebook
    if pack in shipped.packs:
        raise UsageError(f"“{pack}” is a pack that is shipped. A rule of your own goes into a pack of your own name.")
    rule = load_library(folders).rulebook.get(f"{pack}/{name}") if folders else None
    if rule is not None:
        raise UsageError(f"There is a rule “{rule.id}” already: {rule.at.source.name}, line {rule.at.line}.")


def _pack_line(pack: str, folder: Path | None) -> str:
    """`pack NAME`, with a title to be filled in where no other file of the folder gives one."""
    known = load_library(_with_rules(folder)).rulebook.packs if _with_rules(folder) else {}
    return f"pack {pack}" if known.get(pack) else f'pack {pack} "Rules of our own"'


def _create(path: str, text: str) -> int:
    """Writes a file that must not be there yet."""
    from plancheck.library.refusal import reason

    try:
        with open(path, "x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except (OSError, ValueError) as trouble:
        complain(f"plancheck: “{path}” cannot be written: {reason(trouble)}.\n")
        return UNREAD
    return 0


# --- manual ------------------------------------------------------------------------------------------------


def manual(options: Namespace, library: Library, page: Page) -> int:
    """The manual of all rules, as a page for a browser and for print, or as Markdown."""
    from plancheck.render.manual_html import manual_html
    from plancheck.render.manual_markdown import manual_markdown

    html = options.to is not None and options.to.casefold().endswith((".html", ".htm"))
    book = library.choice().rulebook
    text = manual_html(book) if html else manual_markdown(book)
    return written(text, options.to)
