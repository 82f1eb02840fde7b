"""One number out of reason at a time; see tests/review/test_values_out_of_reason.py."""

from __future__ import annotations

import pytest

from plancheck.plan.kinds import Kind
from plancheck.plan.pattern import Pattern, Slot
from tests.review.test_values_out_of_reason import drawn, label, reviewed, tried


@pytest.mark.parametrize("value", ["0", "0.00000001", "1000000000"])
@pytest.mark.parametrize("each", tried(), ids=lambda each: label(*each))
def test_a_number_out_of_reason_is_reviewed(each: tuple[Kind, Pattern, Slot], value: str) -> None:
    kind, pattern, slot = each
    assert reviewed(drawn(kind, pattern, slot.name, value)).rules_run
