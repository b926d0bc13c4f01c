"""Limb cables exchanged with each other: a few conservative rules on the representative beat.

An exchange among the arms and the left leg turns or renames limb leads and leaves the chest leads
as they are; a recording cable on the right leg makes one of I, II and III almost flat
[Batchvarov2007]. In most hearts leads I and II look like V5 and V6; a lead that is their mirror
image in QRS and T together, with its P turned as well, is upside down by cable rather than by
disease, which turns one wave alone. Where there is no P to go by, the mirror image must be closer.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from couchside.quality import thresholds
from couchside.quality.model import Finding, FindingKind, Verdict
from couchside.recording import LIMB_LEADS, Electrode
from couchside.waves.model import RepresentativeBeat, Waves

FloatArray = NDArray[np.float64]

_NEEDED = ("I", "II", "III", "aVR", "V5", "V6")


@dataclass(frozen=True, slots=True, kw_only=True)
class WaveHeights:
    """One lead of the representative beat: height of P, net area of QRS, likeness to V5 and V6.

    Parameters
    ----------
    p_uv : float
        Height above the line from its onset to its offset; 0 where no P was found.
    qrs_uv_ms : float
        Area, positive less negative.
    spread_uv : float
        Peak to peak of the whole beat.
    likeness : float
        The greater of its correlations with V5 and V6 over the whole beat, from −1 to 1.
    """

    p_uv: float
    qrs_uv_ms: float
    spread_uv: float
    likeness: float


def check_cables(waves: Waves, spoiled_leads: Iterable[str]) -> tuple[Finding, ...]:
    """At most one finding of exchanged limb cables.

    Parameters
    ----------
    waves : Waves
        With the representative beat.
    spoiled_leads : iterable of str
        Leads that cannot be read; where one of those needed is among them, nothing is said.
    """
    beat = waves.representative
    if beat is None or beat.beat_count < thresholds.CABLE_BEATS:
        return ()
    if any(name not in beat.leads or name in set(spoiled_leads) for name in _NEEDED):
        return ()
    if not (np.isfinite(beat.overall.qrs_onset) and np.isfinite(beat.overall.qrs_offset)):
        return ()
    leads = {name: _measure(beat, name) for name in _NEEDED}
    has_p = bool(np.isfinite(beat.overall.p_onset) and np.isfinite(beat.overall.p_offset))
    return _cable_on_right_leg(leads) or _limb_cables_exchanged(leads, has_p=has_p)


def _cable_on_right_leg(leads: dict[str, WaveHeights]) -> tuple[Finding, ...]:
    for name, (electrodes, words) in _FLAT_LEAD_MEANS.items():
        others = [leads[each].spread_uv for each in ("I", "II", "III") if each != name]
        flat_uv = leads[name].spread_uv
        if flat_uv < thresholds.FLAT_LIMB_UV and flat_uv < thresholds.FLAT_LIMB_SHARE * min(others):
            return (
                _finding(
                    sentence=(
                        f"{words}: lead {name} is almost flat ({flat_uv:.0f} µV) and the other "
                        "limb leads are copies of each other."
                    ),
                    remedy="Put every limb cable where it belongs, then record again.",
                    electrodes=electrodes,
                    confidence=thresholds.FLAT_LEAD_CONFIDENCE,
                    figures={"flat_lead_uv": flat_uv},
                ),
            )
    return ()


_FLAT_LEAD_MEANS = {
    "I": (
        (Electrode.RA, Electrode.LA, Electrode.LL, Electrode.RL),
        "Both arm cables seem to be on the legs",
    ),
    "II": (
        (Electrode.RA, Electrode.RL),
        "The right-arm and right-leg cables seem to be exchanged",
    ),
    "III": (
        (Electrode.LA, Electrode.RL),
        "The left-arm and right-leg cables seem to be exchanged",
    ),
}


def _limb_cables_exchanged(leads: dict[str, WaveHeights], *, has_p: bool) -> tuple[Finding, ...]:
    if max(leads["V5"].qrs_uv_ms, leads["V6"].qrs_uv_ms) <= 0.0:
        return ()
    turned = _find_turned(leads) if has_p else _find_turned_without_p(leads)
    if turned is None:
        return ()
    electrodes, cables = _TURNED_LEAD_MEANS[turned]
    waves = "P, QRS and T" if has_p else "QRS and T"
    return (
        _finding(
            sentence=(
                f"The {cables} cables seem to be exchanged: {waves} are upside down in lead "
                f"{turned} and the chest leads are not."
            ),
            remedy=f"Put the {cables} cables where they belong, then record again.",
            electrodes=electrodes,
            confidence=thresholds.EXCHANGE_CONFIDENCE,
            figures={"p_uv": leads[turned].p_uv, "likeness_to_v5_v6": leads[turned].likeness},
        ),
    )


_TURNED_LEAD_MEANS = {
    "I": ((Electrode.RA, Electrode.LA), "right-arm and left-arm"),
    "II": ((Electrode.RA, Electrode.LL), "right-arm and left-leg"),
}


def _find_turned(leads: dict[str, WaveHeights]) -> str | None:
    """I where the arms are exchanged, II where the right arm and the left leg are."""
    arms = _upside_down(leads["I"])
    arm_and_leg = _upside_down(leads["II"]) and leads["aVR"].p_uv > -thresholds.SURE_P_UV
    if arms and arm_and_leg:
        arms = leads["I"].p_uv < leads["II"].p_uv
    if arms:
        return "I"
    return "II" if arm_and_leg else None


def _find_turned_without_p(leads: dict[str, WaveHeights]) -> str | None:
    """Lead I where nothing of it is unlike a mirror image, and aVR is upright.

    Lead II is left alone: an inferior infarct turns its QRS and its T.
    """
    mirrored = leads["I"].likeness < -thresholds.MIRRORED_LIKENESS_WITHOUT_P
    return "I" if mirrored and leads["aVR"].qrs_uv_ms > 0.0 else None


def _upside_down(lead: WaveHeights) -> bool:
    return lead.p_uv < -thresholds.SURE_P_UV and lead.likeness < -thresholds.MIRRORED_LIKENESS


def _measure(beat: RepresentativeBeat, name: str) -> WaveHeights:
    row = beat.leads.index(name)
    microvolts = beat.microvolts[row]
    first, last = int(beat.overall.qrs_onset), int(beat.overall.qrs_offset) + 1
    return WaveHeights(
        p_uv=_height_of_p(beat, microvolts),
        qrs_uv_ms=float(microvolts[first:last].sum()) * 1000.0 / beat.rate_hz,
        spread_uv=float(np.ptp(microvolts)),
        likeness=max(_correlation(beat, name, "V5"), _correlation(beat, name, "V6")),
    )


def _correlation(beat: RepresentativeBeat, first: str, second: str) -> float:
    one, other = (beat.microvolts[beat.leads.index(name)] for name in (first, second))
    one, other = one - one.mean(), other - other.mean()
    size = float(np.linalg.norm(one) * np.linalg.norm(other))
    return float(one @ other) / size if size > 0.0 else 0.0


def _height_of_p(beat: RepresentativeBeat, microvolts: FloatArray) -> float:
    """Farthest from the straight line between onset and offset of P over all leads."""
    onset, offset = beat.overall.p_onset, beat.overall.p_offset
    if not (np.isfinite(onset) and np.isfinite(offset) and offset > onset + 1):
        return 0.0
    wave = microvolts[int(onset) : int(offset) + 1]
    above = wave - np.linspace(wave[0], wave[-1], len(wave))
    return float(above[np.argmax(np.abs(above))])


def _finding(
    *,
    sentence: str,
    remedy: str,
    electrodes: tuple[Electrode, ...],
    confidence: float,
    figures: dict[str, float],
) -> Finding:
    return Finding(
        kind=FindingKind.CABLES_EXCHANGED,
        asks=Verdict.RECORD_AGAIN,
        sentence=sentence,
        remedy=remedy,
        confidence=confidence,
        electrodes=electrodes,
        leads=tuple(map(str, LIMB_LEADS)),
        figures=figures,
    )
