"""All kinds of mistakes, family by family."""

from __future__ import annotations

from tests.faults.coils import COILS
from tests.faults.contacts import CONTACTS
from tests.faults.doors_and_locks import DOORS
from tests.faults.gates import GATES
from tests.faults.radio import RADIO
from tests.faults.releases import RELEASES
from tests.faults.volts_and_amps import VOLTS
from tests.faults.wires import WIRES

FAULTS = tuple(
    fault for family in (CONTACTS, RELEASES, DOORS, VOLTS, COILS, WIRES, GATES, RADIO) for fault in family.faults
)
