"""Measures speed and accuracy, and prints tables."""
