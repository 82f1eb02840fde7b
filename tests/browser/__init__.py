"""Pages that are written, opened in a real browser."""
