"""The manual as Markdown: to be read as it is, or by whatever shows Markdown."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from plancheck import __version__
from plancheck.render.columns import shown
from plancheck.render.layout import plural
from plancheck.render.manual import LEAD, LOCAL_CODE, TITLE, RulePage, by_pack, index, limit_rows, looked_at, pages
from plancheck.rulebook.rule import Example, Rulebook

_SIGNS = re.compile(r"[\\`*_{}\[\]<>#|!~&$]")
_BEGINS_SOMETHING = re.compile(r"(?:[-+=]|\d+[.)])")


def manual_markdown(book: Rulebook) -> str:
    """The whole manual."""
    every = pages(book)
    packs = list(by_pack(every))
    count = f"{plural(len(every), 'rule')} of {plural(len(packs), 'pack')}, plancheck {__version__}"
    lines = [f"# {TITLE}", "", f"{_text(count)}. {_text(LEAD)}", "", '<a id="contents"></a>', "", "## Contents", ""]
    for pack, of_pack in packs:
        lines += [f"### {_text(pack)}", "", *(f"- {_link(page)}: {_text(page.rule.title)}" for page in of_pack), ""]
    lines += ["[Index of words](#words)", ""]
    lines += [line for page in every for line in _page(page)]
    lines += ['<a id="words"></a>', "", "## Index of words", ""]
    lines += [f"- {_code(word)} {', '.join(map(_link, asking))}" for word, asking in index(every)]
    return "\n".join(lines) + "\n"


def _text(text: str) -> str:
    """A text of anybody's, every sign that Markdown or a browser would obey taken literally."""
    plain = _SIGNS.sub(r"\\\g<0>", shown(text))
    return f"\\{plain}" if _BEGINS_SOMETHING.match(plain) and not plain[:1].isdigit() else plain


def _code(text: str) -> str:
    fence = _fence(text, 1)
    return f"{fence} {shown(text)} {fence}"


def _fence(text: str, least: int) -> str:
    """More back-quotes than stand anywhere in a text."""
    return "`" * max(least, 1 + max((len(run) for run in re.findall("`+", text)), default=0))


def _link(page: RulePage) -> str:
    return f"[{_text(page.rule.id)}](#{page.anchor})"


def _page(page: RulePage) -> Iterator[str]:
    rule = page.rule
    yield from ("---", "", f'<a id="{page.anchor}"></a>', "", f"## {_text(rule.id)}", "", _text(rule.title), "")
    yield f"- Severity: {_text(page.severity)}" + (f". {LOCAL_CODE}" if rule.life_safety else "")
    yield f"- Pack: {_text(page.pack)}"
    if rule.only_in:
        yield f"- Runs: only where the jurisdiction is {rule.only_in}, or not stated"
    yield f"- Known limits: {_text(rule.known_limits)}"
    yield f"- Stands in: {_text(rule.at.source.name)}, line {rule.at.line}"
    yield from ("", "### What it looks at", "")
    for part in page.outline.parts:
        yield from (f"- {label}: {_code(text) if code else _text(text)}" for label, text, code in looked_at(part))
        yield ""
    if rule.limits:
        yield from ("### Limits", "", *_table(("Limit", "Value", "Where", "Source"), limit_rows(rule)))
    yield from ("### Basis", "", *_table(("Where", "Source", "Clause", "About", "Known how"), page.basis))
    yield from ("### Remedy", "")
    for text in page.remedy:
        yield from (_text(text), "")
    for passes, heading in ((True, "Passes"), (False, "Fails")):
        yield from (f"### {heading}", "")
        for example in page.examples(passes):
            yield from _example(example)
    yield from ("[Contents](#contents)", "")


def _table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> Iterator[str]:
    yield "| " + " | ".join(head) + " |"
    yield "|" + " --- |" * len(head)
    yield from ("| " + " | ".join(_text(cell) for cell in row) + " |" for row in rows)
    yield ""


def _example(example: Example) -> Iterator[str]:
    fence = _fence(example.text, 3)
    yield from (_text(example.title), "", fence)
    yield from (shown(line.expandtabs(4)) for line in example.text.splitlines())
    yield from (fence, "")
