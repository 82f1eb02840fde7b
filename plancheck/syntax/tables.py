"""Parsers from tables worked out beforehand: to build one from its grammar takes ten times as long.

`grammar/NAME.tables` holds what Lark makes of `grammar/NAME.lark`, with the grammars' texts, the starts and Lark's
version that it was made from. Where any of these is another now the tables are passed over: the grammar alone
says what is read. `python -m tests.write_tables` writes them anew.
"""

from __future__ import annotations

import marshal
from typing import TYPE_CHECKING, Any

from plancheck.shipped import grammar_file

if TYPE_CHECKING:
    from lark import Lark

_KEPT = ("parser", "lexer", "start", "priority", "ambiguity", "maybe_placeholders", "ordered_sets")
"""Options that belong to the tables; all others are given anew when a parser is read back."""


def load_parser(name: str, starts: tuple[str, ...], transformer: object) -> Lark:
    """The parser of `grammar/NAME.lark`, its reductions made by `transformer`."""
    tables = _tables(name)
    if tables.get("made_from") != _made_from(starts):
        return build_parser(name, starts, transformer)
    from lark import Lark

    return Lark.__new__(Lark)._load(tables["parser"], transformer=transformer)


def is_current(name: str, starts: tuple[str, ...]) -> bool:
    """Whether the tables of a grammar were made from what there is now."""
    return bool(_tables(name).get("made_from") == _made_from(starts))


def build_parser(name: str, starts: tuple[str, ...], transformer: object = None) -> Lark:
    """The same from the grammar itself."""
    from lark import Lark

    path = grammar_file(f"{name}.lark")
    return Lark(
        path.read_text(encoding="utf-8"),
        parser="lalr",
        start=list(starts),
        transformer=transformer,
        import_paths=[str(path.parent)],
    )


def write_tables(name: str, starts: tuple[str, ...]) -> None:
    """Work out the tables of a grammar and keep them beside it."""
    from lark.grammar import Rule
    from lark.lexer import TerminalDef

    data, memo = build_parser(name, starts).memo_serialize([TerminalDef, Rule])
    data["options"] = {k: v for k, v in data["options"].items() if k in _KEPT}
    kept = {"made_from": _made_from(starts), "parser": {"data": data, "memo": memo}}
    grammar_file(f"{name}.tables").write_bytes(marshal.dumps(_plain(kept), 4))


def _made_from(starts: tuple[str, ...]) -> tuple[str, ...]:
    import lark

    # A grammar takes tokens from another, so all of them count.
    texts = (path.read_text(encoding="utf-8") for path in sorted(grammar_file("").glob("*.lark")))
    return lark.__version__, *starts, *texts


def _tables(name: str) -> dict[str, Any]:
    try:
        kept = marshal.loads(grammar_file(f"{name}.tables").read_bytes())
    except (OSError, ValueError, EOFError, TypeError):
        return {}
    return kept if isinstance(kept, dict) else {}


def _plain(value: Any) -> Any:
    """The same value in built-in types only: a token is kept as the string that it is."""
    if isinstance(value, dict):
        return {_plain(k): _plain(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return type(value)(map(_plain, value))
    return str(value) if isinstance(value, str) else value
