"""Cables on each other's electrodes: every arrangement scored against usual hearts."""

from couchside.quality.interchange.arrangements import (
    ARRANGEMENTS,
    Arrangement,
    ArrangementGroup,
)
from couchside.quality.interchange.features import BeatFeatures, find_features
from couchside.quality.interchange.preview import (
    find_exchange_to_undo,
    preview_put_right,
    put_right_as_told,
)
from couchside.quality.interchange.scoring import (
    ArrangementScores,
    EarlierEvidence,
    score_arrangements,
)
from couchside.quality.interchange.undoing import put_right

__all__ = [
    "ARRANGEMENTS",
    "Arrangement",
    "ArrangementGroup",
    "ArrangementScores",
    "BeatFeatures",
    "EarlierEvidence",
    "find_exchange_to_undo",
    "find_features",
    "preview_put_right",
    "put_right",
    "put_right_as_told",
    "score_arrangements",
]
