"""A high-pass filter of some 0.5 Hz seen in the signal, whatever the file says.

A first-order filter with the edge ω takes from the heart x what it gives, y, by  y' = x' - ω y.
Between the end of T and the next P the heart is at rest, x' = 0, so that the line there climbs back
in every lead by ω times what it lies under its mean. The slow end of a T wave does the opposite,
and an unfiltered lead does nothing of the kind. A filter that runs both ways leaves no such trace;
it does not move ST either [AHA2007-I].
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from couchside.quality import thresholds
from couchside.quality.model import Finding, FindingKind, Hidden, Reading, Verdict
from couchside.quality.signals import Signals
from couchside.quality.sources import choose_leads
from couchside.recording import AcquisitionSettings
from couchside.waves.model import Waves

FloatArray = NDArray[np.float64]

_AFTER_T_S, _BEFORE_P_S = 0.04, 0.02
SHORTEST_REST_S = 0.15
FEWEST_RESTS = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Climb:
    """How the line between two beats climbs back.

    Parameters
    ----------
    edge_hz : float
        The edge of a first-order filter that would do it; under 0 where the lines go the other way.
    likeness : float
        How like the climbs of the leads are to what such a filter does, from -1 to 1.
    """

    edge_hz: float
    likeness: float

    @property
    def is_of_a_filter(self) -> bool:
        """Whether a high-pass filter was on."""
        return self.likeness > thresholds.CLIMB_LIKENESS and self.edge_hz > thresholds.CLIMB_EDGE_HZ


def check_undershoot(
    signals: Signals, waves: Waves, settings: AcquisitionSettings
) -> tuple[Finding, ...]:
    """At most one remark; none where the file itself states an edge over 0.05 Hz.

    Parameters
    ----------
    signals : Signals
        With two limb leads or more.
    waves : Waves
        With the representative beat; its T end and P onset say where the heart rests, and
        without them nothing is said.
    settings : AcquisitionSettings
        What the file states.
    """
    stated_hz = settings.high_pass_hz
    if stated_hz is not None and stated_hz > thresholds.HIGH_PASS_HZ * (1 + 1e-6):
        return ()
    climb = find_climb(signals, waves)
    return (_word(climb, signals.leads, stated_hz),) if climb and climb.is_of_a_filter else ()


def find_climb(signals: Signals, waves: Waves) -> Climb | None:
    """The climb between beats over all independent leads; None with too few rests of the heart."""
    chosen = choose_leads(signals.leads)
    rests = _find_rests(waves)
    if chosen is None or len(rests) < FEWEST_RESTS:
        return None
    microvolts = signals.microvolts[[signals.leads.index(name) for name in chosen]]
    lines = [_fit_line(microvolts[:, start:stop], signals.rate_hz) for start, stop in rests]
    levels, slopes = np.array(lines).transpose(2, 0, 1)
    return _compare(levels - microvolts.mean(axis=1), slopes)


def _find_rests(waves: Waves) -> list[tuple[int, int]]:
    """From the end of T to the next P, in samples, where that is long enough; none without P."""
    beat = waves.representative
    if beat is None or np.isnan(beat.overall.t_offset) or np.isnan(beat.overall.p_onset):
        return []
    rate_hz = waves.rate_hz
    after = beat.overall.t_offset - beat.fiducial_sample + _AFTER_T_S * rate_hz
    before = beat.fiducial_sample - beat.overall.p_onset + _BEFORE_P_S * rate_hz
    spans = [
        (int(one + after), int(other - before))
        for one, other in zip(waves.beat_samples[:-1], waves.beat_samples[1:], strict=True)
    ]
    return [span for span in spans if span[1] - span[0] >= SHORTEST_REST_S * rate_hz]


def _fit_line(part: FloatArray, rate_hz: float) -> FloatArray:
    """Level in µV and slope in µV/s of each lead, shape (lead, 2)."""
    seconds = (np.arange(part.shape[1]) - 0.5 * (part.shape[1] - 1)) / rate_hz
    weights = np.empty((part.shape[1], 2))
    weights[:, 0] = 1.0 / part.shape[1]
    weights[:, 1] = seconds / float(seconds @ seconds)
    line: FloatArray = part @ weights
    return line


def _compare(levels: FloatArray, slopes: FloatArray) -> Climb:
    """Levels and slopes of shape (rest, lead): the edge by least squares over all of them."""
    omega = -float(np.sum(levels * slopes)) / max(float(np.sum(levels**2)), _TINY)
    level, slope = levels.mean(axis=0), slopes.mean(axis=0)
    size = float(np.linalg.norm(level) * np.linalg.norm(slope))
    return Climb(edge_hz=omega / (2.0 * np.pi), likeness=-float(level @ slope) / max(size, _TINY))


def _word(climb: Climb, leads: tuple[str, ...], stated_hz: float | None) -> Finding:
    stated = "does not state it" if stated_hz is None else f"states {stated_hz:g} Hz"
    return Finding(
        kind=FindingKind.FILTER,
        asks=Verdict.KEEP_WITH_REMARK,
        sentence=(
            f"A high-pass filter well above {thresholds.HIGH_PASS_HZ:g} Hz seems to have been on, "
            f"though the file {stated}: between the beats the line climbs back in every lead."
        ),
        remedy=f"Set the high-pass filter to {thresholds.HIGH_PASS_HZ:g} Hz.",
        confidence=thresholds.CLIMB_CONFIDENCE,
        figures={"climb_likeness": climb.likeness},
        hides=(Hidden(what=Reading.ST_LEVEL, leads=leads),),
    )


_TINY = 1e-9
