"""Seeded faults at every place: all doors drawn alike, the plans that take long, and all the other sound plans."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.faults.families import FAULTS
from tests.faults.fault import Fault
from tests.faults.table import PROPERTY, as_data
from tests.faults.trying import tried


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault.name)
def test_a_fault_is_found_wherever_it_is(fault: Fault, record_property: Callable[[str, object], None]) -> None:
    row = tried(fault, whole=True)
    record_property(PROPERTY, as_data(row))
    assert row.missed == []
    assert row.false_alarms == []
