"""The manual: every rule in it, nothing of a pack's text at work in it, every link led somewhere."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from syrupy.assertion import SnapshotAssertion

from plancheck.library.load import load_library
from plancheck.render.manual import pages
from plancheck.render.manual_html import manual_html
from plancheck.render.manual_markdown import manual_markdown
from plancheck.rulebook.rule import Rulebook

HOSTILE = """\
pack house "House <script>alert(1)</script> & *stars* [a](javascript:b)"
rule hostile {
    title     "<b>bold</b> & | pipes | `ticks` _under_ \u202eturned"
    severity  note
    basis     "<img src=x onerror=alert(1)>" grade common practice
    known limits "--> ]]> </article> # none"
    limit     most = 5 m  source "<i>house</i> | rule"
    for each  cable C
    where     C.length > most
    require   no
    found     "<em>{C}</em>"
    required  "</dd>"
    remedy    "![picture](http://example.invalid/p.png)"
    passes "``` <u>none</u>" {
        # </pre><script>alert(2)</script> ``` ````
    }
    fails "one" {
        cable C1 { conductors 2 of 18 AWG; length 6 m }
    }
}
"""


@pytest.fixture
def book(tmp_path: Path) -> Rulebook:
    (tmp_path / "own.rules").write_text(HOSTILE, encoding="utf-8")
    library = load_library([str(tmp_path)])
    assert library.broken == ()
    return library.rulebook


class Read(HTMLParser):
    """What a browser would make of a page."""

    VOID = frozenset(("meta", "br", "hr"))

    def __init__(self, text: str) -> None:
        super().__init__()
        self.ids: list[str] = []
        self.links: list[str] = []
        self.tags: set[str] = set()
        self.attributes: set[str] = set()
        self.open: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.attributes |= {name for name, _ in attrs}
        self.ids += [value for name, value in attrs if name == "id" and value]
        self.links += [value for name, value in attrs if name == "href" and value]
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


def test_the_page_holds_every_rule_and_every_link_leads_somewhere(book: Rulebook) -> None:
    read = Read(manual_html(book))
    assert read.open == []
    assert len(set(read.ids)) == len(read.ids)
    assert {f"#{each}" for each in read.ids} == set(read.links)
    assert {page.anchor for page in pages(book)} <= set(read.ids)
    assert len(pages(book)) == len(book.rules)


def test_nothing_that_a_pack_writes_is_at_work_in_the_page(book: Rulebook) -> None:
    text = manual_html(book)
    read = Read(text)
    assert read.tags <= {
        "html", "head", "meta", "title", "style", "body", "h1", "h2", "h3", "p", "nav", "main", "article", "section",
        "dl", "dt", "dd", "a", "span", "table", "tr", "th", "td", "div", "pre", "code",
    }  # fmt: skip
    assert read.attributes <= {"lang", "charset", "name", "content", "http-equiv", "id", "href", "class"}
    assert "\u202e" not in text
    assert all(link.startswith("#") for link in read.links)


def test_the_page_says_what_the_rule_says(book: Rulebook) -> None:
    text = manual_html(book)
    for rule in book.rules:
        start = text.index(f'<article id="rule.{rule.id.replace("/", ".")}">')
        page = text[start : text.index("</article>", start)]
        assert page.count('<div class="passes">') == sum(e.passes for e in rule.examples)
        assert page.count('<div class="fails">') == sum(not e.passes for e in rule.examples)
        assert ("check local code" in page) == rule.life_safety
        for limit in rule.limits:
            assert f"<td>{limit.name}</td><td>{limit.text}</td>" in page
        for basis in rule.basis:
            assert sum(len(topic.clauses) for topic in basis.topics) <= page.count("<tr>")
        assert page.count("<dt>Goes through</dt>") == len(rule.groups)


def test_markdown_links_lead_somewhere(book: Rulebook) -> None:
    text = manual_markdown(book)
    assert set(re.findall(r"\]\(#([\w.\-]+)\)", text)) == set(re.findall(r'<a id="([\w.\-]+)"></a>', text))
    assert text.count("\n## ") == len(book.rules) + 2


def test_nothing_that_a_pack_writes_is_at_work_in_markdown(book: Rulebook) -> None:
    text = manual_markdown(book)
    start = text.index("## house/hostile")
    page = text[start : text.index("\n---\n", start)]
    outside = "".join(part for i, part in enumerate(re.split(r"(?m)^(`{3,})$", page)) if i % 4 == 0)
    outside = re.sub(r"\\[^\w\s]", "", outside)
    told = re.sub(r"(?m)^### |^## |^- |^\|[ \-|]+\|$|^\||\|$| \| ", "", outside)
    told = re.sub(r"` [^`]* `|\[Contents\]\(#contents\)", "", told)
    assert re.findall(r"(?<!\\)[`*_\[\]<>#|!]", told) == []
    assert "`````\n# </pre>" in page


def test_the_manual_is_made_the_same_every_time() -> None:
    assert manual_html(load_library([]).rulebook) == manual_html(load_library([]).rulebook)


def test_one_page(book: Rulebook, snapshot: SnapshotAssertion) -> None:
    text = manual_html(book)
    start = text.index('<article id="rule.house.hostile">')
    page = text[start : text.index("</article>", start)]
    assert re.sub(r"<dd>[^<]*own\.rules", "<dd>own.rules", page) == snapshot
