"""Electrodes beside their place: remarks, each with a published sign and usual hearts behind it.

A remark needs its sign in the tracing, and the recording must look so much more like usual hearts
once the electrodes are put back. Each sign alone is common; so are recordings that would look a
little more usual. An earlier recording of the person speaks by how the leads changed since then.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from couchside.measures.axes import frontal_angle_deg
from couchside.measures.limits import find_age_years
from couchside.quality import thresholds
from couchside.quality.displacement import Displacement, gain_of_putting_back
from couchside.quality.interchange.features import (
    P_PLACES,
    QRS_PLACES,
    BeatFeatures,
    FloatArray,
)
from couchside.quality.misplacement_remarks import write_remark
from couchside.quality.model import Finding
from couchside.recording import Placement, Recording
from couchside.waves import Waves
from couchside.waves.pacing import find_pacing_spikes

LEAST_GAIN = {
    Displacement.HIGH: 20.0,
    Displacement.LOW_ROW: 4.0,
    Displacement.LATERAL_ROW: 8.0,
    Displacement.TORSO: -3.0,
}
"""So much more usual a recording with the sign must look once put back: from here on 1.4 % of the
fitting half's are remarked on. Where negative, the sign does most of it."""
LEAST_CHANGE = 8.0
"""Of what the change since the earlier recording says, with what the new one shows: natural
logarithm. Nothing among the tuning patients' repeated recordings reaches it."""
MOST_ALONE = 3.0
"""One recording's look counts no more beside an earlier one: twenty to one (by design)."""
SCORES_IN_A_LOGARITHM = 3.0
"""As `TEMPERATURE` of the scores of exchanged cables."""
_LL, _C1, _C2 = 2, 3, 4
"""Rows of the potentials."""
_JUDGED = {Placement.NOT_STATED, Placement.STANDARD}


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeSince:
    """How the leads changed since an earlier recording of the person.

    Parameters
    ----------
    likelihoods : mapping of Displacement to float
        How much likelier the new beat is, given the earlier one, if these electrodes sit so now and
        sat in place then; natural logarithm.
    when : str
        Which recording the earlier one is, as a sentence names it.
    """

    likelihoods: Mapping[Displacement, float]
    when: str


def check_misplacement(
    recording: Recording,
    waves: Waves,
    features: BeatFeatures | None,
    *,
    since: ChangeSince | None = None,
) -> tuple[Finding, ...]:
    """At most one remark on electrodes beside their place.

    Parameters
    ----------
    recording : Recording
        For age and stated placement; where a placement other than the standard one is stated,
        nothing is said.
    waves : Waves
        With the representative beat.
    features : BeatFeatures or None
        Of that beat; where a cable could not be read, nothing is said.
    since : ChangeSince, optional
        How the leads changed since an earlier recording of the person.
    """
    if features is None or features.unknown or not _may_be_judged(recording, waves):
        return ()
    gains = gain_of_putting_back(features)
    by_change = choose_by_change(gains, since) if since is not None else None
    told = by_change or choose_alone(gains, features)
    if told is None or find_pacing_spikes(recording, waves).count > 0:
        return ()
    return (write_remark(told, since.when if since and by_change else ""),)


def choose_alone(
    gains: Mapping[Displacement, float], features: BeatFeatures
) -> Displacement | None:
    """The one that gains most over what it must, among those whose sign shows."""
    over = {
        each: gain - LEAST_GAIN[each]
        for each, gain in gains.items()
        if gain > LEAST_GAIN[each] and SIGNS[each](features)
    }
    return max(over, key=lambda each: over[each]) if over else None


def choose_by_change(
    gains: Mapping[Displacement, float], since: ChangeSince
) -> Displacement | None:
    """The one that the change since then speaks for most, if enough."""
    weights = {
        each: said + _bound(gains[each] / SCORES_IN_A_LOGARITHM)
        for each, said in since.likelihoods.items()
    }
    best = max(weights, key=lambda each: weights[each])
    return best if weights[best] > LEAST_CHANGE else None


def _bound(value: float) -> float:
    return min(max(value, -MOST_ALONE), MOST_ALONE)


def has_negative_p_in_v1(features: BeatFeatures) -> bool:
    """Whether P is wholly negative in V1, as with V1 an interspace too high [GarciaNiebla2012].

    P must point down towards the feet, as it does from the sinus node.
    """
    if not features.has_p:
        return False
    p = features.potentials_uv[:, :P_PLACES]
    p = p - p[: _LL + 1].mean(axis=0)
    wholly_negative = p[_C1].max() < thresholds.P_UPRIGHT_UV
    return bool(p[_LL].mean() > 0.0 and wholly_negative and p[_C1].min() < -thresholds.P_DIP_UV)


def has_larger_r_in_v6(features: BeatFeatures) -> bool:
    """Whether R is higher in V6 than in V4.

    V4 lies nearest the apex and loses most where the row is too low (from memory).
    """
    return _r_in_v6_over_v4(features) > 1.0


def has_smaller_r_in_v6(features: BeatFeatures) -> bool:
    """Whether R is lower in V6 than in V4, as where the row goes too far round (from memory)."""
    return _r_in_v6_over_v4(features) < 1.0


def is_vertical(features: BeatFeatures) -> bool:
    """Whether P and QRS point downwards, and R is small in I and aVL [Papouchado1987].

    The bounds of axes and sizes were chosen on the fitting half.
    """
    right, left, foot = features.potentials_uv[: _LL + 1]
    first, wilson = left - right, (right + left + foot) / 3.0
    axes = [_axis_deg(first[wave], 1.5 * (foot - wilson)[wave]) for wave in (_P, _QRS)]
    size_of_v6 = float((features.potentials_uv[-1] - wilson)[_QRS].std())
    little = float(first[_QRS].std()) < LITTLE_SHARE * max(size_of_v6, 1.0)
    low = bool(1.5 * (left - wilson)[_QRS].max() < LOW_AVL_UV)
    return features.has_p and axes[0] > 55.0 and 60.0 < axes[1] < 110.0 and little and low


LITTLE_SHARE, LOW_AVL_UV = 0.35, 250.0
"""Size of QRS in I beside V6, and height of R in aVL."""
_P, _QRS = slice(0, P_PLACES), slice(P_PLACES, P_PLACES + QRS_PLACES)
LEAST_R_UV = 50.0
"""R of less counts as so much."""

SIGNS: Mapping[Displacement, Callable[[BeatFeatures], bool]] = {
    Displacement.HIGH: has_negative_p_in_v1,
    Displacement.LOW_ROW: has_larger_r_in_v6,
    Displacement.LATERAL_ROW: has_smaller_r_in_v6,
    Displacement.TORSO: is_vertical,
}


def _axis_deg(first: FloatArray, foot: FloatArray) -> float:
    return frontal_angle_deg(float(first.mean()), float(foot.mean()))


def _r_in_v6_over_v4(features: BeatFeatures) -> float:
    wilson = features.potentials_uv[: _LL + 1].mean(axis=0)
    fourth, sixth = (
        max(float((features.potentials_uv[row] - wilson)[_QRS].max()), LEAST_R_UV)
        for row in (_C1 + 3, _C1 + 5)
    )
    return sixth / fourth


def _may_be_judged(recording: Recording, waves: Waves) -> bool:
    """Adults with a narrow QRS, and electrodes that are not stated to be elsewhere."""
    age_years = find_age_years(recording)
    is_child = age_years is not None and age_years < thresholds.ADULT_YEARS
    beat = waves.representative
    if is_child or beat is None or recording.placement not in _JUDGED:
        return False
    qrs_s = (beat.overall.qrs_offset - beat.overall.qrs_onset) / beat.rate_hz
    return qrs_s < thresholds.WIDE_QRS_S
