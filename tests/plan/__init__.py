"""Statements to a resolved plan."""
