"""The preview of a recording put right: made on demand, marked as derived, never stored."""

from __future__ import annotations

from collections.abc import Iterable

from couchside.errors import InvalidInput
from couchside.quality.interchange.arrangements import ARRANGEMENTS, Arrangement
from couchside.quality.interchange.features import find_features
from couchside.quality.interchange.scoring import score_arrangements
from couchside.quality.interchange.undoing import put_right
from couchside.quality.interchange.words import name_arrangement
from couchside.quality.model import Finding
from couchside.recording import Recording
from couchside.waves import delineate


def find_exchange_to_undo(findings: Iterable[Finding]) -> Arrangement | None:
    """The told exchange that software can undo; None where none is told or none can be."""
    for found in findings:
        for each in ARRANGEMENTS if found.hung else ():
            if dict(each.cables) == dict(found.hung) and each.can_be_undone:
                return each
    return None


def put_right_as_told(recording: Recording, arrangement: Arrangement) -> Recording:
    """The recording with all cables in place, as `preview_put_right` gives it."""
    return put_right(recording, arrangement, because=name_arrangement(arrangement))


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
    return put_right_as_told(recording, scores.best)
