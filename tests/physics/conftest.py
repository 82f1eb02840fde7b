"""The second witness for wire gauges is collected only where it is installed."""

from __future__ import annotations

from tests.outside import has_gauge_converter

collect_ignore = [] if has_gauge_converter() else ["test_second_witness.py"]
