"""The pages as text: what stands on them, how a plan of many doors is parted, what is never said."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from html.parser import HTMLParser
from pathlib import Path

import pytest

from plancheck.render.submittal.page import HEADINGS, pages
from plancheck.review.report import CAUTION
from plancheck.review.submittal import Submittal, digest, submittal_of
from plancheck.source import Source
from tests.bench.doors import building
from tests.render.submittal.picture import PICTURE, picture
from tests.render.works import SAMPLES, name_of, submittal_of_sample
from tests.review.planned import no_include, shipped

DAY = date(2026, 11, 26)


class _Read(HTMLParser):
    """Identities, links and words of a page; scripts and styles are no words."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.identities: list[str] = []
        self.links: list[str] = []
        self.words: list[str] = []
        self._quiet = ""
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = dict(attrs)
        if found.get("id"):
            self.identities.append(found["id"] or "")
        if tag == "a":
            self.links.append(found.get("href") or "")
        if tag in ("script", "style"):
            self._quiet = tag

    def handle_endtag(self, tag: str) -> None:
        self._quiet = "" if tag == self._quiet else self._quiet

    def handle_data(self, data: str) -> None:
        if not self._quiet:
            self.words.append(data)


def _page(path: Path) -> str:
    (page,) = pages(submittal_of_sample(path, DAY), path.stem)
    return page.html


@pytest.mark.parametrize("path", SAMPLES, ids=name_of)
def test_every_part_is_there_and_every_link_leads_somewhere(path: Path) -> None:
    read = _Read(_page(path))
    assert {*HEADINGS} <= {*read.identities}
    assert len(set(read.identities)) == len(read.identities)
    assert {link.removeprefix("#") for link in read.links} <= {*read.identities}
    words = " ".join(" ".join(read.words).split())
    assert CAUTION in words
    assert "prove dead" in words
    assert "check local code" in words


@pytest.mark.parametrize("path", SAMPLES, ids=name_of)
def test_no_verdict_is_given(path: Path) -> None:
    """“fails safe” and “fail-safe” are a lock's fail mode, SAFE a gate operator's terminal: no verdict on the plan."""
    words = " ".join(" ".join(_Read(_page(path)).words).split())
    words = re.sub(r"fails?[ -]safe|\bSAFE\d*\b", "", words)
    assert re.findall(r"\b(?:compliant|complies|approved|safe|passed|certified)\b", words, re.IGNORECASE) == []


def test_packs_are_sealed_by_their_texts() -> None:
    one, other = Source("a.rules", "pack a"), Source("b.rules", "pack b")
    assert digest([one, other]) == digest([other, one]) != digest([one])
    assert digest([one]) == digest([Source("elsewhere/a.rules", "pack a")])
    assert digest([one]) != digest([Source("a.rules", "pack a ")])
    sample = submittal_of_sample(SAMPLES[0], DAY)
    assert {seal.name for seal in sample.seals} >= {"egress", "electrical", "gate", "wiring", "kinds"}
    assert sum(seal.rules for seal in sample.seals) == sum("/" in rule for rule in sample.report.rules_run)


def _of_many(doors: int) -> Submittal:
    from plancheck.review.review import reviewed_text

    library = shipped()
    source = Source("many.plan", building(doors))
    reviewed = reviewed_text(source, library.kinds, library.rulebook, no_include, DAY)
    return submittal_of(reviewed)


def test_many_doors_are_parted_over_pages() -> None:
    submittal = _of_many(60)
    found = {page.ending: _Read(page.html) for page in pages(submittal, "many")}
    assert list(found) == ["", "-shared-1", "-1", "-2", "-3"]
    files = {f"many{ending}.html" for ending in found}
    for ending, read in found.items():
        others = {link for link in read.links if not link.startswith("#")}
        assert others == files - {f"many{ending}.html"}
    doors = [holder.name for holder in submittal.document.works.holders]
    for name in doors:
        home = [ending for ending, read in found.items() if f"Sequence of {name}" in " ".join(read.words)]
        assert len(home) == 1
    assert "picker" in found["-1"].identities
    assert "picker" not in found[""].identities


def test_a_finding_of_many_doors_leads_to_the_page_that_shows_it() -> None:
    submittal = _of_many(30)
    finding = submittal_of_sample(next(p for p in SAMPLES if p.stem == "rear-exit-faulty"), DAY).report.findings[3]
    told = replace(finding, subject="D00027-ML", about=("D00027",))
    report = replace(submittal.report, findings=(told,))
    cover, *_ = pages(replace(submittal, report=report), "many")
    assert "many-2.html#finding-1" in _Read(cover.html).links


def test_the_picture_in_the_readme_is_what_is_drawn() -> None:
    """`python -m tests.render.submittal.picture` draws it anew."""
    assert PICTURE.read_text(encoding="utf-8") == picture()
