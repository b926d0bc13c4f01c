"""Exchanged cables, by the two recordings of a person together.

Usual hearts say how well each recording stands by itself, the two beats how well they go together;
three things may be so: cables displaced now, then, or neither. See
`couchside.quality.interchange.scoring`.
"""

from __future__ import annotations

from collections.abc import Iterable

from couchside.quality.interchange import (
    Arrangement,
    EarlierEvidence,
    find_features,
    score_arrangements,
)
from couchside.recording import ELECTRODES, INDEPENDENT_LEADS, Electrode
from couchside.serial.arrangements import Cables, log_likelihoods
from couchside.serial.model import Exchange
from couchside.serial.shape import find_shape
from couchside.waves import RepresentativeBeat


def find_evidence(
    new: RepresentativeBeat | None,
    earlier: RepresentativeBeat | None,
    left_out: Iterable[str] = (),
    *,
    when: str = "",
) -> EarlierEvidence | None:
    """What the earlier beat says of how the cables hang.

    Parameters
    ----------
    new, earlier : RepresentativeBeat or None
        Of two recordings of one person.
    left_out : iterable of str
        Leads of either recording that cannot be read.
    when : str
        Which recording the earlier one is, as a sentence names it.

    Returns
    -------
    EarlierEvidence or None
        None where one of the beats lacks what is needed, or one of I, II, V1..V6 cannot be read.
    """
    if set(INDEPENDENT_LEADS) & set(left_out):
        return None
    now, then, features = find_shape(new), find_shape(earlier), find_features(earlier)
    if now is None or then is None or features is None:
        return None
    return EarlierEvidence(
        features=features,
        hung_now=log_likelihoods(now, then),
        hung_then=log_likelihoods(then, now),
        when=when,
    )


def find_exchange(
    new: RepresentativeBeat | None, evidence: EarlierEvidence | None
) -> Exchange | None:
    """How the cables of one of the two seem to have hung; None where it cannot be asked."""
    features = find_features(new)
    if features is None or evidence is None:
        return None
    scores = score_arrangements(features, earlier=evidence)
    now = scores.best if scores.exchanged else scores.best_then
    displaced = float(scores.probabilities[[not _in_place(e) for e in scores.arrangements]].sum())
    either = min(displaced + scores.probability_then, 1.0)
    return Exchange(
        cables=now.cables,
        words=name_cables(now.cables),
        probability=either if now.cables else 1.0 - either,
        now=scores.exchanged,
    )


def name_cables(cables: Cables) -> str:
    """In words: "right-arm and left-arm cables"; empty where all hang right."""
    names = [_name(cable) for cable in ELECTRODES if cable in cables]
    if not names:
        return ""
    return f"{', '.join(names[:-1])} and {names[-1]} cables"


def _in_place(arrangement: Arrangement) -> bool:
    return set(arrangement.cables) <= {Electrode.LL, Electrode.RL}


def _name(electrode: Electrode) -> str:
    limbs = {"RA": "right-arm", "LA": "left-arm", "LL": "left-leg", "RL": "right-leg"}
    return limbs.get(electrode.value, electrode.value.replace("C", "V"))
