"""The rows of a sequence of operation in plain sentences."""

from __future__ import annotations

from collections.abc import Iterator

from plancheck.review.sequence import CHATTERS, NOT_ASSESSED, UNCERTAIN, VARIES, DoorSequence, Outcome, Row
from plancheck.rulebook.witness import listed
from plancheck.units import show

FEW = 2
"""Up to so many parts, each is told even where it stands as in normal condition."""


NO_VOLTS = 5e-4
"""Volts too few to be shown."""


def sentence(row: Row, door: DoorSequence) -> str:
    """A row in words: what stands how, what would change it, what the plan adds."""
    if row.section == "after":
        return f"{_capital(row.event)}: {'; '.join(row.notes)}."
    said = [_lead(row), *_outcomes(row, door.rows[0])]
    notes = f" ({'; '.join(row.notes)})" if row.notes else ""
    return f"{' '.join(said)}{notes}"


def _lead(row: Row) -> str:
    match row.section:
        case "normal":
            return "In normal condition:"
        case "situation":
            return f"On {row.event}:"
    return f"With {row.event}:"


def _outcomes(row: Row, normal: Row) -> Iterator[str]:
    """Parts that stand otherwise than in normal condition; of normal condition itself, all."""
    if row.section == "normal":
        yield from (_one(outcome, in_full=True) for outcome in row.outcomes)
        return
    pairs = list(zip(row.outcomes, normal.outcomes, strict=True))
    told = [one for one, usual in pairs if changed(one, usual)]
    yield from (_one(outcome) for outcome in told)
    if told:
        yield from ["The rest as in normal condition."] if len(told) < len(pairs) else []
    elif len(pairs) > FEW:
        yield "as in normal condition."
    else:
        yield from (_unchanged(one, usual) for one, usual in pairs)


def _unchanged(outcome: Outcome, usual: Outcome) -> str:
    text = f"{outcome.part} {_state(outcome)}, as in normal condition."
    new = [words for words in outcome.alone if words not in usual.alone]
    return f"{text} Here it also changes with {listed(new, 'or')}." if new else text


def changed(outcome: Outcome, usual: Outcome) -> bool:
    """Whether a part stands otherwise than in normal condition, then or afterwards."""
    return (outcome.state, outcome.why) != (usual.state, usual.why) or bool(outcome.after)


def _one(outcome: Outcome, *, in_full: bool = False) -> str:
    text = f"{outcome.part} {_state(outcome)}"
    if outcome.always:
        text += ", whatever else is the case"
    text += "."
    if outcome.alone:
        text += f" That changes with {listed(outcome.alone, 'or')}."
    if outcome.together and (in_full or not outcome.alone):
        text += f" {_capital(listed(outcome.together, 'or'))} changes it only together with something else."
    if outcome.after:
        text += f" When that is over, it stays {outcome.after}."
    if in_full and outcome.path:
        text += f" Its current takes {' → '.join(outcome.path)}."
    return text


def _capital(text: str) -> str:
    """A text at the beginning of a sentence; names of devices are upper case as it is."""
    return text[:1].upper() + text[1:]


def _state(outcome: Outcome) -> str:
    match outcome.state:
        case state if state == NOT_ASSESSED:
            return f"was not assessed: {outcome.why}"
        case state if state == VARIES:
            return f"varies with what happened before ({listed(outcome.on, 'or')})"
        case state if state == UNCERTAIN:
            return f"is uncertain{volts(outcome, ' at ')}: between letting go and pulling in"
        case state if state == CHATTERS:
            return "chatters: its relays never come to rest"
    if outcome.volts is not None and outcome.volts < NO_VOLTS:
        return f"is {outcome.state} without power at it"
    return f"is {outcome.state}{volts(outcome, ' at ')}"


def volts(outcome: Outcome, lead: str = "") -> str:
    """Volts at a lock, empty where there are none to tell."""
    return "" if outcome.volts is None else f"{lead}{show(outcome.volts, 'voltage')}"
