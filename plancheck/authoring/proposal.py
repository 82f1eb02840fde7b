"""What an author is offered to write."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from plancheck.source import Span


class ProposalSort(Enum):
    """What is offered."""

    KEYWORD = "keyword"
    KIND = "kind"
    HOUSE_DEVICE = "house device"
    DEVICE = "device"
    TYPICAL = "typical"
    PARAMETER = "parameter"
    TERMINAL = "terminal"
    CONDUCTOR = "conductor"
    ATTRIBUTE = "attribute"
    WORD = "word"
    UNIT = "unit"
    RULE = "rule"


@dataclass(frozen=True, slots=True)
class Proposal:
    """`text` in the place of `at`. Those that are likelier have a lower `rank`."""

    at: Span
    text: str
    sort: ProposalSort
    detail: str = ""
    about: str = ""
    """More about it, as Markdown."""
    rank: int = 0
