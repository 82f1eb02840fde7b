"""Who may import whom: the layers, and the heavy libraries that one module each is allowed."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

import plancheck

PACKAGE = Path(plancheck.__file__).parent

LAYERS = {
    "source": 0, "finding": 0, "units": 0, "nearest": 0, "proposed": 0, "shipped": 0, "__init__": 0,
    "syntax": 1, "plan": 2, "circuit": 3, "rulebook": 4, "review": 5, "render": 6, "library": 6,
    "authoring": 7, "editor": 8, "cli": 9, "__main__": 9,
}  # fmt: skip

ONLY_IMPORTER = {
    "networkx": "plan/graph.py",
    "pygls": "editor/",
    "lsprotocol": "editor/",
    "numpy": "circuit/",
    "scipy": "circuit/",
    "pint": "units.py",
    "pydantic": "render/",
    "lark": ("syntax/", "rulebook/"),
    "argparse": "cli/",
}
"""Where alone a library may be imported: a file, or a folder with a slash behind it."""


def _modules() -> list[Path]:
    return sorted(PACKAGE.rglob("*.py"))


def _imports(path: Path) -> Iterator[str]:
    """Dotted names of everything that a module imports, wherever in it the import stands."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path} imports relatively: the layers are read from whole names"
            assert node.module
            yield node.module


def _layer(dotted: str) -> int:
    parts = dotted.split(".")
    return LAYERS[parts[1] if len(parts) > 1 else "__init__"]


@pytest.mark.parametrize("path", _modules(), ids=lambda path: path.relative_to(PACKAGE).as_posix())
def test_imports_go_downwards(path: Path) -> None:
    own = LAYERS[path.relative_to(PACKAGE).parts[0].removesuffix(".py")]
    wrong = [name for name in _imports(path) if name.split(".")[0] == "plancheck" and _layer(name) > own]
    assert wrong == []


@pytest.mark.parametrize("library", ONLY_IMPORTER)
def test_heavy_libraries_have_one_importer(library: str) -> None:
    importers = {
        path.relative_to(PACKAGE).as_posix()
        for path in _modules()
        if any(name.split(".")[0] == library for name in _imports(path))
    }
    assert {name for name in importers if not name.startswith(ONLY_IMPORTER[library])} == set()


def test_numpy_has_one_importer() -> None:
    importers = [p for p in _modules() if any(name.split(".")[0] == "numpy" for name in _imports(p))]
    assert len(importers) <= 1


def test_every_package_has_its_layer() -> None:
    assert {path.relative_to(PACKAGE).parts[0].removesuffix(".py") for path in _modules()} == set(LAYERS)


def test_nobody_imports_what_is_not_declared() -> None:
    import sys

    outside = {name.split(".")[0] for path in _modules() for name in _imports(path)}
    declared = {"plancheck", "lark", "pydantic", "networkx", "numpy", "pint", "pygls", "lsprotocol"}
    assert outside - declared - set(sys.stdlib_module_names) == set()
