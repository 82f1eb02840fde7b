"""`python -m tests.render.submittal.picture`: draws the picture in the README anew.

It is a sheet of a sample in normal condition, as it stands on the page that is handed over.
"""

from __future__ import annotations

from pathlib import Path

from plancheck.circuit.scene import scene
from plancheck.render.drawing.geometry import laid_out
from plancheck.render.drawing.sheet_svg import STYLE, sheet_svg
from plancheck.render.drawing.sheets import sheets
from plancheck.render.drawing.standing import standing
from plancheck.render.submittal.feet import feet
from tests.render.works import FOLDER, document_of

PICTURE = FOLDER / "rear-exit.svg"
OF: Path = FOLDER / "rear-exit.plan"

COLOURS = ".sheet .wire.carries path { stroke: #8c3a10; } .sheet .wire.dead path { stroke: #6f6f6f; }"


def picture() -> str:
    """The sheet with its style, so that it stands alone."""
    works = document_of(OF).works
    facts, condition = works.facts, works.start.condition
    seen = scene(facts, condition)
    (sheet,) = sheets(facts.graph, works.holders)
    stands = standing(facts.graph, seen, feet(facts, seen, condition))
    drawn = sheet_svg(laid_out(sheet.boxes, sheet.links), sheet.title, "sheet", stands)
    return drawn.replace("<title", f"<style>{STYLE}{COLOURS}</style>\n<title", 1)


if __name__ == "__main__":
    PICTURE.write_text(picture(), encoding="utf-8")
