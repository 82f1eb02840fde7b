"""Plans of the samples, worked out once for all tests that show them."""

from __future__ import annotations

from datetime import date
from functools import cache
from pathlib import Path

from plancheck.library.files import IncludeReader, read_text
from plancheck.library.house import ByHouse
from plancheck.library.load import load_library
from plancheck.plan.adopt import adopted_by
from plancheck.render.submittal.page import pages
from plancheck.review.document import Document, read_document
from plancheck.review.review import Reviewed, reviewed_text
from plancheck.review.submittal import Submittal, submittal_of
from plancheck.source import Source

FOLDER = Path(__file__).parents[2] / "samples"
SAMPLES = sorted(path for path in FOLDER.rglob("*.plan") if not {"typicals", "house"} & {*path.parts})


def name_of(path: Path) -> str:
    """The name of a sample, for a test's id."""
    return path.relative_to(FOLDER).with_suffix("").as_posix()


@cache
def document_of(path: Path) -> Document:
    """A sample worked out, with the packs that its folder asks for."""
    library = ByHouse(load_library, [], None, [str(path)]).of(path)
    source, mistake = read_text(path)
    assert mistake is None
    choice = library.choice(adopted_by(source))
    include = IncludeReader(path, source, library.folders, choice.adopted.texts)
    return read_document(source, choice.kinds, choice.rulebook, include, library.packs, choice.adopted.texts)


def reviewed_sample(path: Path, text: str = "", day: date = date(2026, 11, 26)) -> Reviewed:
    """A sample reviewed, or another text in its place."""
    library = ByHouse(load_library, [], None, [str(path)]).of(path)
    source, mistake = read_text(path, path.relative_to(FOLDER.parent).as_posix())
    assert mistake is None
    source = Source(source.name, text) if text else source
    choice = library.choice(adopted_by(source))
    include = IncludeReader(path, source, library.folders, choice.adopted.texts)
    packs, adopted = library.packs, choice.adopted
    return reviewed_text(source, choice.kinds, choice.rulebook, include, day, packs=packs, adopted=adopted)


@cache
def submittal_of_sample(path: Path, day: date) -> Submittal:
    """What is handed over of a sample."""
    return submittal_of(reviewed_sample(path, day=day))


def written_page(submittal: Submittal, path: Path, folder: Path) -> Path:
    """The page of a plan, as a file in a folder."""
    file = folder / f"{path.stem}.html"
    if not file.exists():
        (page,) = pages(submittal, path.stem)
        file.write_text(page.html, encoding="utf-8")
    return file
