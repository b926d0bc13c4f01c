"""The preview of a recording put right: made on demand, marked as derived, never stored."""

from __future__ import annotations

from couchside.errors import InvalidInput
from couchside.quality.interchange.features import find_features
from couchside.quality.interchange.scoring import score_arrangements
from couchside.quality.interchange.undoing import put_right
from couchside.quality.interchange.words import name_arrangement
from couchside.recording import Recording
from couchside.waves import delineate


def preview_put_right(recording: Recording) -> Recording:
    """Put right what the likeliest exchange of cables has done.

    Parameters
    ----------
    recording : Recording
        As it came from the recorder.

    Returns
    -------
    Recording
        The twelve leads as with all cables in place; its first remark says that it is derived and
        by which exchange.

    Raises
    ------
    InvalidInput
        If no exchange is seen, if the leads do not allow one to be looked for, or if the exchange
        cannot be undone in software.
    """
    features = find_features(delineate(recording).representative)
    scores = None if features is None else score_arrangements(features)
    if scores is None or not scores.exchanged:
        raise InvalidInput(
            "no exchange of cables is seen in this recording, so there is nothing to put right; "
            "leave out --put-right"
        )
    return put_right(recording, scores.best, because=name_arrangement(scores.best))
