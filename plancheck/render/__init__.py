"""Layer 6: a report becomes text or JSON."""
