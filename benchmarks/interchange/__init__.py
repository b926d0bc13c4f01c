"""Fits the numbers behind exchanged cables: `python -m benchmarks quality fit-cables`."""
