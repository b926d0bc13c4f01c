"""Proportions, control charts and funnel limits."""
