"""Fits the numbers by which exchanged cables are told: `python -m benchmarks quality fit-cables`."""
