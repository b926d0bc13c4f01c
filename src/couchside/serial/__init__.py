"""One recording against the patient's earlier ones."""

from couchside.serial.arrangements import log_likelihood_by_arrangement
from couchside.serial.check import ComparedAssessment, check
from couchside.serial.compare import compare
from couchside.serial.model import (
    AlignedBeats,
    Change,
    Comparison,
    Difference,
    Examined,
    Exchange,
    LeadDifference,
    SameHeart,
    Unlike,
    UnlikeKind,
    Weight,
)

__all__ = [
    "AlignedBeats",
    "Change",
    "ComparedAssessment",
    "Comparison",
    "Difference",
    "Examined",
    "Exchange",
    "LeadDifference",
    "SameHeart",
    "Unlike",
    "UnlikeKind",
    "Weight",
    "check",
    "compare",
    "log_likelihood_by_arrangement",
]
