"""Is it fit to read: findings with remedies, and one verdict."""

from couchside.quality.check import check
from couchside.quality.model import (
    Assessment,
    Band,
    ElectrodeNoise,
    Finding,
    FindingKind,
    Hidden,
    Reading,
    Verdict,
)

__all__ = [
    "Assessment",
    "Band",
    "ElectrodeNoise",
    "Finding",
    "FindingKind",
    "Hidden",
    "Reading",
    "Verdict",
    "check",
]
