"""Electrodes beside their place: V1 and V2 too high, told by the P wave.

Only what separates is told. Limb electrodes on the torso and a chest row too low or too lateral
were tried too and are not: docs/findings.md says with what signs and figures.
"""

from __future__ import annotations

from collections.abc import Iterable

from couchside.measures.limits import find_age_years
from couchside.quality import thresholds
from couchside.quality.interchange.features import P_PLACES, BeatFeatures, find_features
from couchside.quality.model import Finding, FindingKind, Hidden, Reading, Verdict
from couchside.recording import INDEPENDENT_LEADS, Electrode, Placement, Recording
from couchside.waves import Waves
from couchside.waves.pacing import find_pacing_spikes

CONFIDENCE = 0.5
"""By design: more than half of V1 and V2 sit too high by over 1.5 cm [WengerKligfield1996], and the
sign is at most a few times commoner with them (docs/validation.md)."""
_C1, _C2, _LL = 3, 4, 2
"""Rows of the potentials."""
_LEADS = ("V1", "V2")
_JUDGED = {Placement.NOT_STATED, Placement.STANDARD}


def check_misplacement(
    recording: Recording, waves: Waves, spoiled_leads: Iterable[str]
) -> tuple[Finding, ...]:
    """At most one remark: V1 and V2 may be an interspace too high.

    Parameters
    ----------
    recording : Recording
        For age and stated placement; where a placement other than the standard one is stated,
        nothing is said.
    waves : Waves
        With the representative beat.
    spoiled_leads : iterable of str
        Leads that cannot be read; where one of I, II, V1..V6 is among them, nothing is said.
    """
    if set(INDEPENDENT_LEADS) & set(spoiled_leads) or not _may_be_judged(recording, waves):
        return ()
    features = find_features(waves.representative)
    if features is None or not looks_too_high(features):
        return ()
    is_paced = find_pacing_spikes(recording, waves).count > 0
    return () if is_paced else (_REMARK,)


def looks_too_high(features: BeatFeatures) -> bool:
    """Whether P is as with V1 and V2 an interspace or two too high.

    Parameters
    ----------
    features : BeatFeatures
        As recorded.

    Returns
    -------
    bool
        True where P in V1 is wholly negative and P in V2 has a negative part, both at once
        [GarciaNiebla2012]: P in V2 alone is biphasic in 10.5 % and inverted in 4.8 % of people
        [MacAlpin2017]. P must point down towards the feet, as it does from the sinus node.
    """
    if not features.has_p:
        return False
    p = features.potentials_uv[:, :P_PLACES]
    p = p - p[: _LL + 1].mean(axis=0)
    from_sinus_node = p[_LL].mean() > 0.0
    wholly_negative = p[_C1].max() < thresholds.P_UPRIGHT_UV
    both_dip = max(p[_C1].min(), p[_C2].min()) < -thresholds.P_DIP_UV
    return bool(from_sinus_node and wholly_negative and both_dip)


def _may_be_judged(recording: Recording, waves: Waves) -> bool:
    """Adults with a narrow QRS, and electrodes that are not stated to be elsewhere."""
    age_years = find_age_years(recording)
    is_child = age_years is not None and age_years < thresholds.ADULT_YEARS
    beat = waves.representative
    if is_child or beat is None or recording.placement not in _JUDGED:
        return False
    qrs_s = (beat.overall.qrs_offset - beat.overall.qrs_onset) / beat.rate_hz
    return qrs_s < thresholds.WIDE_QRS_S


_REMARK = Finding(
    kind=FindingKind.MISPLACED,
    asks=Verdict.KEEP_WITH_REMARK,
    sentence=(
        "V1 and V2 may be an interspace too high: P is wholly negative in V1 and partly in V2."
    ),
    remedy=(
        "Check the place of V1 and V2: fourth intercostal space, at the right and the left edge of "
        "the breastbone; if they are higher and the person is still there, move them and record "
        "again."
    ),
    confidence=CONFIDENCE,
    electrodes=(Electrode.C1, Electrode.C2),
    leads=_LEADS,
    hides=tuple(
        Hidden(what=each, leads=_LEADS)
        for each in (Reading.QRS, Reading.ST_LEVEL, Reading.T_WAVE, Reading.P_WAVE)
    ),
)
"""High V1 and V2 make r′, ST elevation and inverted T that are not the heart's [Walsh2018]."""
