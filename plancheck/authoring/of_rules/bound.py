"""What is bound where the cursor is, by the words before it: half a rule is no node yet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

from plancheck.authoring.of_rules.lexed import Sort, Token, keywords
from plancheck.rulebook.things import CLASSES
from plancheck.rulebook.types import Type
from plancheck.rulebook.vocabulary import Vocabulary, Word


def variables(tokens: Sequence[Token]) -> dict[str, str]:
    """Class of each variable that is bound behind the last `for each`: a class's name with a name behind it."""
    begun = [i for i, pair in enumerate(pairwise(tokens)) if _text(pair) == ("for", "each")]
    found: dict[str, str] = {}
    behind = tokens[begun[-1] :] if begun else ()
    for of, name in pairwise(behind):
        if of.text in CLASSES and name.sort is Sort.WORD and name.text not in keywords() and name.text not in CLASSES:
            found[name.text] = of.text
    return found


def _text(pair: tuple[Token, Token]) -> tuple[str, str]:
    return pair[0].text, pair[1].text


def limits(tokens: Sequence[Token]) -> dict[str, str]:
    """The limits of a rule, each with its number and unit."""
    found = {}
    for i, token in enumerate(tokens):
        if token.text == "=" and 0 < i < len(tokens) - 2:
            found[tokens[i - 1].text] = f"{tokens[i + 1].text} {tokens[i + 2].text}"
    return found


def path_before(tokens: Sequence[Token]) -> list[str]:
    """The names of the path that ends the tokens: `L`, `.`, `device` are two."""
    names: list[str] = []
    for token in reversed(tokens):
        if token.text == "." and names and names[0] != ".":
            names.insert(0, ".")
        elif token.sort is Sort.WORD and (not names or names[0] == "."):
            names.insert(0, token.text)
        else:
            break
    return [name for name in names if name != "."]


def type_of(names: Sequence[str], bound: Mapping[str, str], words: Vocabulary) -> tuple[str, Type | None]:
    """Class and type of what a path leads to: no class where that is no thing, no type at a variable."""
    if not names or names[0] not in bound:
        return "", None
    of, found = bound[names[0]], None
    for name in names[1:]:
        word: Word | None = words.find(of, name) if of in CLASSES else None
        if word is None:
            return "", None
        of, found = word.type.of, word.type
    return of, found
