"""How each lead's representative beat changed: QRS, ST and T, against what is usual."""

from __future__ import annotations

from math import hypot

import numpy as np

from couchside.measures.amplitudes import NOISE_FACTOR, ST_AFTER_J_MS
from couchside.measures.lead_model import LeadMeasures, WaveName
from couchside.serial.model import AlignedBeats, Difference, LeadDifference
from couchside.serial.usual import (
    QRS_FLOOR_UV,
    QRS_SHARE,
    ST_FLOOR_UV,
    ST_SHARE,
    T_FLOOR_UV,
    T_SHARE,
)

ST_POSITION = ST_AFTER_J_MS.index(60)


def find_lead_differences(
    new: tuple[LeadMeasures, ...], old: tuple[LeadMeasures, ...], beats: AlignedBeats
) -> tuple[LeadDifference, ...]:
    """Each lead that both recordings have, in the order of the new one."""
    then = {lead.lead: lead for lead in old}
    return tuple(_compare(lead, then[lead.lead], beats) for lead in new if lead.lead in beats.leads)


def _compare(new: LeadMeasures, old: LeadMeasures, beats: AlignedBeats) -> LeadDifference:
    noise_uv = NOISE_FACTOR * hypot(new.noise_uv or 0.0, old.noise_uv or 0.0)
    size_uv = 0.5 * ((new.peak_to_peak_uv or 0.0) + (old.peak_to_peak_uv or 0.0))
    t_now, t_then = (_height_of_t(lead) for lead in (new, old))
    t_size_uv = 0.5 * (abs(t_now or 0.0) + abs(t_then or 0.0))
    st_now, st_then = new.st[ST_POSITION].level_uv, old.st[ST_POSITION].level_uv
    return LeadDifference(
        lead=new.lead,
        qrs=_difference(
            new.peak_to_peak_uv,
            old.peak_to_peak_uv,
            noise_uv,
            hypot(QRS_FLOOR_UV, QRS_SHARE * size_uv),
            "QRS",
        ),
        st=_difference(st_now, st_then, noise_uv, hypot(ST_FLOOR_UV, ST_SHARE * size_uv), "ST"),
        t=_difference(t_now, t_then, noise_uv, hypot(T_FLOOR_UV, T_SHARE * t_size_uv), "T"),
        largest_qrs_uv=_largest(new.lead, beats),
    )


def _difference(
    new: float | None, old: float | None, noise_uv: float, usual_uv: float, words: str
) -> Difference:
    if new is not None and old is not None:
        return Difference(change_uv=new - old, uncertainty_uv=noise_uv, usual_uv=usual_uv)
    when = "now" if new is None else "then"
    return Difference(
        change_uv=None,
        uncertainty_uv=noise_uv,
        usual_uv=usual_uv,
        reason=f"{words} was not measurable {when}",
    )


def _height_of_t(lead: LeadMeasures) -> float | None:
    return lead.get(WaveName.T).amplitude_uv


def _largest(lead: str, beats: AlignedBeats) -> float:
    row = beats.leads.index(lead)
    first, last = max(int(beats.qrs_onset), 0), int(beats.qrs_offset) + 1
    apart = np.abs(beats.new_uv[row, first:last] - beats.old_uv[row, first:last])
    return float(np.nanmax(apart)) if np.isfinite(apart).any() else 0.0
