"""Layer 7: the command line."""
