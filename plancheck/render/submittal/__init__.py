"""The package that is handed over: one page for a plan, with the same as tables and as JSON."""
