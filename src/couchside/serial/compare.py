"""The comparison: two recordings in, what changed between them out."""

from __future__ import annotations

from couchside.serial.align import align_beats
from couchside.serial.changes import find_changes, find_qrs_change_ms
from couchside.serial.exchange import find_evidence, find_exchange
from couchside.serial.leads import find_lead_differences
from couchside.serial.like_for_like import list_unlike
from couchside.serial.model import Comparison, Examined
from couchside.serial.same_heart import judge_same_heart
from couchside.serial.shape import find_shape


def compare(new: Examined, old: Examined) -> Comparison:
    """Compare a recording with an earlier one of the same person.

    Parameters
    ----------
    new, old : Examined
        Each a recording and its assessment. Which is the earlier one is for the caller to know:
        the times that the recordings state are not looked at.

    Returns
    -------
    Comparison
        What cannot be compared carries its reason; the comparison itself never fails on two
        valid recordings.

    Notes
    -----
    In steps: the measures' changes against their uncertainty and against what is usual between two
    days; the representative beats aligned by QRS, lead by lead; in what the two are not like for
    like; under which arrangement of cables they are most alike; whether they look like one heart.
    """
    changes = find_changes(new, old)
    now, then = new.assessment.waves.representative, old.assessment.waves.representative
    beats = align_beats(now, then)
    shapes = find_shape(now), find_shape(then)
    left_out = new.assessment.left_out_leads | old.assessment.left_out_leads
    evidence = find_evidence(now, then, left_out, when=old.when)
    exchange = find_exchange(now, evidence)
    return Comparison(
        old=old,
        changes=changes,
        leads=()
        if beats is None
        else find_lead_differences(
            new.assessment.measures.leads, old.assessment.measures.leads, beats
        ),
        beats=beats,
        unlike=list_unlike(new, old, changes, beats),
        same_heart=judge_same_heart(*shapes, exchange, find_qrs_change_ms(changes)),
        exchange=exchange,
        cable_evidence=evidence,
    )
