"""The shape of a feature: what it answers, and how."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Protocol

from plancheck.editor.workbench import Workbench


class HasBench(Protocol):
    """Whatever knows what is open."""

    @property
    def bench(self) -> Workbench: ...


@dataclass(frozen=True, slots=True)
class Feature:
    """`answer` makes the answer to a message from what is open; `options` is what the client is told beforehand."""

    answer: Callable[[Workbench, Any], Any]
    options: Any = None

    def handler(self, server: HasBench) -> Callable[[Any], Any]:
        """What the server calls."""

        def answered(params: Any) -> Any:
            return self.answer(server.bench, params)

        return answered
