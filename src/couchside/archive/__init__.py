"""Whole archives at once."""
