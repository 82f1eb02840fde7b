"""Texts to statements."""
