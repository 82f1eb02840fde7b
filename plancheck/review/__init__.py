"""Layer 5: a plan and a rulebook become a report. Pure: no files, no clock."""
