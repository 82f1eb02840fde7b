"""plancheck: a rules-as-data compliance linter for lock wiring plans."""

__version__ = "0.1.0"
