"""What shows a finding best: the worst seconds, and one electrode's part apart from the heart.

Every lead is a known sum of electrode potentials. What is left of the recording without its beats,
in the bands of the finding, is put down to the finding's electrodes by least squares over the
leads; each lead then holds so much of it as the lead matrix says, and the rest is what the
recording would look like without it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from couchside.quality.model import Assessment, Band, Finding, FindingKind
from couchside.quality.signals import Signals, prepare_signals
from couchside.quality.sources import choose_leads, list_sources, source_weights
from couchside.recording import Electrode, Recording

FloatArray = NDArray[np.float64]

SHOWN_S = 3.0
"""So much of a finding is enough to see it."""
_BANDS = {
    FindingKind.WANDER: (Band.WANDER,),
    FindingKind.MAINS: (Band.MAINS,),
    FindingKind.MUSCLE_TREMOR: (Band.MUSCLE,),
    FindingKind.LIMB_TREMOR: (Band.MOVEMENT,),
    FindingKind.MOVEMENT: (Band.WANDER, Band.MOVEMENT),
}
"""Bands in which a kind has its power; what is not named here has it in all."""
_EVERY_BAND = tuple(Band)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Evidence:
    """What an excerpt draws of a finding.

    Parameters
    ----------
    leads : tuple of str
        Worst first.
    span_s : (start, end)
        The worst seconds.
    electrode_uv : array of shape (lead, sample) or None
        The part of each of these leads that comes from the finding's electrodes; None where it
        names none, or where nothing can be put down to them.
    """

    leads: tuple[str, ...]
    span_s: tuple[float, float]
    electrode_uv: FloatArray | None = None


def find_evidence(
    recording: Recording, assessment: Assessment, finding: Finding
) -> Evidence | None:
    """The leads, the seconds and the electrode's part that show a finding best.

    Parameters
    ----------
    recording : Recording
    assessment : Assessment
        Of that recording: for its beats, and for the electrodes of its other findings, which are
        solved for together with this finding's so that no part is put down to the wrong one.
    finding : Finding
        One of the assessment's.

    Returns
    -------
    Evidence or None
        None where the finding shows in no recorded lead.
    """
    leads = tuple(lead for lead in finding.leads if recording.has_lead(lead))
    if not leads:
        return None
    if finding.kind not in WEIGHED_KINDS:
        return Evidence(leads=leads, span_s=_longest_span(recording, finding))
    signals = prepare_signals(recording, assessment.waves)
    noise = _noise(signals, finding)
    rows = [recording.leads.index(lead) for lead in leads]
    blamed = dict.fromkeys(
        electrode
        for each in (finding, *assessment.findings)
        if each.kind in WEIGHED_KINDS
        for electrode in each.electrodes
    )
    part = _put_down_to_electrodes(noise, signals.leads, finding, tuple(blamed))
    shown = noise[rows] if part is None else part[rows]
    return Evidence(
        leads=leads,
        span_s=_worst_span(shown, recording, finding),
        electrode_uv=None if part is None else part[rows],
    )


WEIGHED_KINDS = frozenset(
    {
        FindingKind.WANDER,
        FindingKind.MAINS,
        FindingKind.MUSCLE_TREMOR,
        FindingKind.LIMB_TREMOR,
        FindingKind.MOVEMENT,
        FindingKind.POP,
        FindingKind.LOOSE_CONTACT,
    }
)


def _noise(signals: Signals, finding: Finding) -> FloatArray:
    """The finding's bands without the heart, shape (lead, sample)."""
    noise = np.zeros_like(signals.microvolts)
    for band in _BANDS.get(finding.kind, _EVERY_BAND):
        heart_free = signals.noise[band] * signals.quiet if band == Band.MUSCLE else None
        noise += signals.noise[band] if heart_free is None else heart_free
    return noise


def _put_down_to_electrodes(
    noise: FloatArray, leads: tuple[str, ...], finding: Finding, blamed: tuple[Electrode, ...]
) -> FloatArray | None:
    """The part of each lead that comes from the finding's electrodes, among all that are blamed."""
    chosen = choose_leads(leads)
    if chosen is None or not finding.electrodes:
        return None
    sources = list_sources(leads)
    if any(electrode not in sources for electrode in blamed):
        return None
    columns = [sources.index(electrode) for electrode in blamed]
    every = source_weights(leads)[:, columns]
    weights = every[[leads.index(name) for name in chosen]]
    if np.linalg.matrix_rank(weights) < len(columns):
        return None
    at_electrodes = np.linalg.lstsq(weights, noise[[leads.index(name) for name in chosen]])[0]
    at_electrodes[[electrode not in finding.electrodes for electrode in blamed]] = 0.0
    part: FloatArray = every @ at_electrodes
    return part


def _worst_span(shown: FloatArray, recording: Recording, finding: Finding) -> tuple[float, float]:
    """The stretch of at most three seconds, within the finding's spans, with most of it."""
    length = min(round(SHOWN_S * recording.rate_hz), recording.sample_count)
    power = np.sum((shown - np.median(shown, axis=1, keepdims=True)) ** 2, axis=0)
    if finding.spans_s:
        inside = np.zeros(recording.sample_count, dtype=bool)
        for start, end in finding.spans_s:
            inside[round(start * recording.rate_hz) : round(end * recording.rate_hz)] = True
        power = power * inside
    sums = np.concatenate([[0.0], np.cumsum(power)])
    start = int(np.argmax(sums[length:] - sums[:-length]))
    return start / recording.rate_hz, (start + length) / recording.rate_hz


def _longest_span(recording: Recording, finding: Finding) -> tuple[float, float]:
    middle = max(0.0, (recording.duration_s - SHOWN_S) / 2)
    whole = (middle, min(recording.duration_s, middle + SHOWN_S))
    start, end = max(finding.spans_s, key=lambda span: span[1] - span[0], default=whole)
    return start, min(end, start + SHOWN_S)
