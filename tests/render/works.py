"""Plans of the samples, worked out once for all tests that show them."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from plancheck.library.files import IncludeReader, read_text
from plancheck.library.house import ByHouse
from plancheck.library.load import load_library
from plancheck.plan.adopt import adopted_by
from plancheck.review.document import Document, read_document

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
