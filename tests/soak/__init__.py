"""Long runs on demand: `python -m pytest tests/soak`. The suite has a short slice of each."""
