"""`review --index`: a page over all plans that counts as the review does, and takes no word for more than a word."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from plancheck.review.report import CAUTION
from tests.cli.calling import CHECKOUT, Caller
from tests.cli.plans import FAULTY, NOTED, SOUND

EXCUSED = (
    FAULTY
    + """\
variance electrical/polarity on XS1 {
    reason "The maker says either way will do"; granted by "Kestrel Wharf fire office"
    reference "KW-7"; until 2027-01-01
}
"""
)
SIZES = ("Errors", "Life safety", "Warnings", "Notes", "Under variance")


@dataclass
class Read(HTMLParser):
    """A page as a browser takes it apart: heads, rows, and what could run or be fetched."""

    heads: list[str] = field(default_factory=list)
    rows: list[list[str]] = field(default_factory=list)
    keys: list[list[str | None]] = field(default_factory=list)
    tags: list[tuple[str, dict[str, str | None]]] = field(default_factory=list)
    text: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        super().__init__()
        self._inside: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        named = dict(attrs)
        self.tags.append((tag, named))
        if tag not in ("meta", "col"):
            self._inside.append(tag)
        if "tbody" in self._inside:
            if tag == "tr":
                self.rows.append([])
                self.keys.append([])
            elif tag in ("td", "th"):
                self.rows[-1].append("")
                self.keys[-1].append(named.get("data-key"))
        elif tag == "button":
            self.heads.append("")

    def handle_endtag(self, tag: str) -> None:
        assert self._inside.pop() == tag, f"</{tag}> closes nothing"

    def handle_data(self, data: str) -> None:
        if {"script", "style"} & set(self._inside):
            return
        self.text.append(data)
        if "tbody" in self._inside and {"td", "th"} & set(self._inside):
            self.rows[-1][-1] += data
        elif self._inside[-1:] == ["button"]:
            self.heads[-1] += data

    def column(self, name: str) -> list[str]:
        """The cells under a head."""
        return [row[self.heads.index(name)] for row in self.rows]


def read(page: Path) -> Read:
    """A page, taken apart."""
    found = Read()
    found.feed(page.read_text(encoding="utf-8"))
    found.close()
    assert {len(row) for row in found.rows} == {len(found.heads)}
    return found


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with plans of all sorts, and a text that is none."""
    monkeypatch.chdir(tmp_path)
    plans = {"a": SOUND, "b": FAULTY, "c": NOTED, "d": EXCUSED, "e": SOUND + "wire A\n"}
    for name, text in plans.items():
        (tmp_path / f"{name}.plan").write_text(text, encoding="utf-8")
    (tmp_path / "f.plan").write_bytes(b"\xff\xfe")
    return tmp_path


def counted(plan: dict[str, Any]) -> list[str]:
    """Sums over the findings in a JSON report."""
    found = [finding for finding in plan["findings"] if not finding["existing"]]
    worst = [sum(finding["severity"] == severity for finding in found) for severity in ("error", "warning", "note")]
    life, excused = (sum(bool(finding[word]) for finding in found) for word in ("life_safety", "variance"))
    return [str(number) for number in (worst[0], life, worst[1], worst[2], excused)]


@pytest.mark.parametrize("what", [".", str(CHECKOUT / "samples")], ids=["all sorts", "samples"])
def test_it_counts_as_the_review_does(what: str, folder: Path, plancheck: Caller) -> None:
    outcome = plancheck("review", what, "--index", "index.html", "--as", "json", "--as-of", "2026-11-25")
    plans = json.loads(outcome.out)["plans"]
    page = read(folder / "index.html")
    assert [list(row) for row in zip(*map(page.column, SIZES), strict=True)] == [counted(plan) for plan in plans]
    for head, key in (("File", "file"), ("Title", "title"), ("Revision", "revision")):
        assert page.column(head) == [plan[key] or ("—" if head == "Title" else "") for plan in plans]
    judged = [str(len(plan["not_assessed"])) if plan["title"] else "all" for plan in plans]
    assert page.column("Not assessed") == judged
    assert page.column("No.") == [str(number) for number in range(1, len(plans) + 1)]


def test_what_came_of_each_plan(folder: Path, plancheck: Caller) -> None:
    assert plancheck("review", ".", "--index", "index.html", "--as-of", "2026-11-25").status == 2
    page = read(folder / "index.html")
    none = "No findings from the rules that were run"
    assert page.column("Result") == [
        none, "Findings", "Findings", "Findings under a variance", "Not wholly assessed", "Not read",
    ]  # fmt: skip
    # By hand: a sensor with plus and minus exchanged is one error, and the same under a variance.
    assert [page.column(name)[1] for name in SIZES] == ["1", "0", "0", "0", "0"]
    assert [page.column(name)[3] for name in SIZES] == ["1", "0", "0", "0", "1"]
    assert page.column("Date") == ["2026-11-02"] * 5 + [""]
    said = " ".join(" ".join(page.text).split())
    assert CAUTION in said
    assert "2 not wholly read or assessed" in said
    assert "judged by 2026-11-25" in said


def test_what_is_on_record_has_a_column(folder: Path, plancheck: Caller) -> None:
    assert plancheck("existing", "b.plan", "--to", "old.existing", "--as-of", "2026-11-02").status == 0
    asked = ["review", "a.plan", "b.plan", "--existing", "old.existing", "--index", "index.html"]
    assert plancheck(*asked).status == 0
    page = read(folder / "index.html")
    assert page.column("On record") == ["0", "1"]
    assert page.column("Errors") == ["0", "0"]
    assert page.column("Result")[1] == "No findings but those on record"
    plancheck("review", "a.plan", "--index", "index.html")
    assert "On record" not in read(folder / "index.html").heads


HOSTILE = ("<script>alert(1)</script>", "'><img src=x onerror=alert(2)>", "&amp; </td></table>", "\u202eevil\u0007")


def test_hostile_names_are_words(folder: Path, plancheck: Caller) -> None:
    tame = len(_tags(folder, plancheck, SOUND))
    for number, name in enumerate(HOSTILE):
        text = SOUND.replace("Kestrel Wharf boat school, tool room", name).replace('"A"', f'"{name}"')
        file = folder / f"{number} <b>&\"'#?.plan"
        file.write_text(text, encoding="utf-8")
        assert len(_tags(folder, plancheck, text, file.name)) == tame
        page = read(folder / "index.html")
        shown = name.replace("\u202e", "\\u202e").replace("\u0007", "\\x07")
        if "\u0007" not in name:  # which no text may hold
            assert (page.column("Title"), page.column("Revision")) == ([shown], [shown])
        assert page.column("File") == [file.name]


def _tags(folder: Path, plancheck: Caller, text: str, name: str = "tame.plan") -> list[str]:
    (folder / name).write_text(text, encoding="utf-8")
    plancheck("review", name, "--index", "index.html")
    return [tag for tag, _ in read(folder / "index.html").tags]


def test_it_needs_nothing_and_runs_nothing_but_its_own(folder: Path, plancheck: Caller) -> None:
    plancheck("review", ".", "--index", "index.html")
    page = read(folder / "index.html")
    assert [tag for tag, _ in page.tags if tag in ("link", "img", "iframe", "a", "form")] == []
    assert [tag for tag, _ in page.tags].count("script") == 1
    assert not any(name.startswith("on") or name in ("src", "style") for _, named in page.tags for name in named)
    (policy,) = (named["content"] for _, named in page.tags if named.get("http-equiv"))
    assert policy is not None
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    words = " ".join(page.text).lower()
    assert not any(word in words for word in ("compliant", "approved", "safe ", "passed"))


@pytest.mark.parametrize(
    ("index", "told"),
    [
        ("", "“” is a folder"),
        (".", "“.” is a folder"),
        ("none/index.html", "the folder of “none/index.html” does not exist"),
        ("a.plan", "“a.plan” is a plan to review"),
        ("./b.existing", "“./b.existing” is the record to read"),
        ("sub/../same.txt", "“sub/../same.txt” is what --to names"),
    ],
)
def test_a_page_that_would_lie_over_another_file_is_refused(
    index: str, told: str, folder: Path, plancheck: Caller
) -> None:
    (folder / "sub").mkdir()
    plancheck("existing", "b.plan", "--to", "b.existing")
    before = {path: path.read_bytes() for path in folder.iterdir() if path.is_file()}
    outcome = plancheck("review", ".", "--existing", "b.existing", "--to", "same.txt", "--index", index)
    assert outcome.status == 2
    assert f"--index: {told}" in outcome.err
    assert {path: path.read_bytes() for path in folder.iterdir() if path.is_file()} == before


def test_the_letter_comes_all_the_same_where_the_page_cannot_be_written(folder: Path, plancheck: Caller) -> None:
    outcome = plancheck("review", "a.plan", "--index", "/dev/full")
    assert outcome.status == 2
    assert "“/dev/full” cannot be written: no space left on device." in outcome.err
    assert "No findings from the rules that were run." in outcome.out
