"""Limb cables exchanged with each other: a few conservative rules on the representative beat.

An exchange among the arms and the left leg turns or renames limb leads and leaves the chest leads
as they are; a recording cable on the right leg makes one of I, II and III almost flat
[Batchvarov2007]. The rules ask for P, QRS and T together, for one wave alone turns with disease.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from couchside.quality import thresholds
from couchside.quality.model import Finding, FindingKind, Verdict
from couchside.recording import LIMB_LEADS, Electrode
from couchside.waves.model import RepresentativeBeat, Waves

_NEEDED = ("I", "II", "III", "aVR", "V5", "V6")


@dataclass(frozen=True, slots=True, kw_only=True)
class WaveHeights:
    """One lead of the representative beat: heights of P and T, net area of QRS.

    Parameters
    ----------
    p_uv, t_uv : float
        Height at the peak; 0 where the wave was not found.
    qrs_uv_ms : float
        Area, positive less negative.
    spread_uv : float
        Peak to peak of the whole beat.
    """

    p_uv: float
    t_uv: float
    qrs_uv_ms: float
    spread_uv: float


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
    return _cable_on_right_leg(leads) or _arms_exchanged(leads) or _arm_and_leg_exchanged(leads)


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
                    confidence=0.85,
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


def _arms_exchanged(leads: dict[str, WaveHeights]) -> tuple[Finding, ...]:
    if not (_upside_down(leads["I"]) and _chest_upright(leads)):
        return ()
    if leads["aVR"].p_uv < thresholds.SURE_P_UV:
        return ()
    return (
        _finding(
            sentence=(
                "The right-arm and left-arm cables seem to be exchanged: P, QRS and T are upside "
                "down in lead I and the chest leads are not."
            ),
            remedy="Put the right-arm and left-arm cables where they belong, then record again.",
            electrodes=(Electrode.RA, Electrode.LA),
            confidence=0.9,
            figures={"p_in_i_uv": leads["I"].p_uv, "p_in_avr_uv": leads["aVR"].p_uv},
        ),
    )


def _arm_and_leg_exchanged(leads: dict[str, WaveHeights]) -> tuple[Finding, ...]:
    upright_avr = (
        leads["aVR"].p_uv > thresholds.SURE_P_UV
        and leads["aVR"].qrs_uv_ms > 0
        and leads["aVR"].t_uv > thresholds.SURE_T_UV
    )
    if not (_upside_down(leads["II"]) and upright_avr and _chest_upright(leads)):
        return ()
    return (
        _finding(
            sentence=(
                "The right-arm and left-leg cables seem to be exchanged: P, QRS and T are upside "
                "down in lead II and upright in aVR."
            ),
            remedy="Put the right-arm and left-leg cables where they belong, then record again.",
            electrodes=(Electrode.RA, Electrode.LL),
            confidence=0.85,
            figures={"p_in_ii_uv": leads["II"].p_uv, "p_in_avr_uv": leads["aVR"].p_uv},
        ),
    )


def _upside_down(lead: WaveHeights) -> bool:
    return (
        lead.p_uv < -thresholds.SURE_P_UV
        and lead.qrs_uv_ms < -thresholds.SURE_QRS_UV_MS
        and lead.t_uv < -thresholds.SURE_T_UV
    )


def _chest_upright(leads: dict[str, WaveHeights]) -> bool:
    return leads["V6"].qrs_uv_ms > 0 and (leads["V6"].t_uv > 0 or leads["V5"].t_uv > 0)


def _measure(beat: RepresentativeBeat, name: str) -> WaveHeights:
    row = beat.leads.index(name)
    microvolts = beat.microvolts[row]
    first, last = int(beat.overall.qrs_onset), int(beat.overall.qrs_offset) + 1
    return WaveHeights(
        p_uv=_at(microvolts, beat.p.peak[row]),
        t_uv=_at(microvolts, beat.t.peak[row]),
        qrs_uv_ms=float(microvolts[first:last].sum()) * 1000.0 / beat.rate_hz,
        spread_uv=float(np.ptp(microvolts)),
    )


def _at(microvolts: np.ndarray[tuple[int], np.dtype[np.float64]], peak: float) -> float:
    return float(microvolts[int(peak)]) if np.isfinite(peak) else 0.0


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
