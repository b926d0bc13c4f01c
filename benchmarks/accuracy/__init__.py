"""How near to the experts: beats, boundaries and P waves on open recordings."""

from benchmarks.accuracy.command import main

__all__ = ["main"]
