"""Whether a recording is of a recorder's own calibration pulse, and of nobody."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from couchside.quality.calibration_pulse import LEAST_RATE_HZ, PulseSpan, list_pulse_spans
from couchside.recording import Recording

SAME_MOMENT_MS = 10.0
"""One generator feeds all leads; within this the pulse begins in each of them."""

LEAST_SHARE_OF_LEADS = 0.75
"""A recorder with a dead lead or two is still known by the others."""

LONGEST_S = 60.0
"""A recorder's pulse is a matter of seconds; what is longer is a recording of a person."""

_STEP_MS = 20.0
_STILL_UV = 100.0
_STILL_SHARE = 0.99
"""Between pulses, 99 of 100 samples lie within 0.1 mV of the sample 20 ms before. A QRS complex of
80 ms a second is 8 of 100, and seldom below 0.5 mV in all leads [LowVoltage]; mains of 50 or 60 Hz
nearly repeats after 20 ms."""

_AROUND_MS = 30.0

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]


def is_pulse_recording(recording: Recording) -> bool:
    """Whether it shows a recorder's own pulse in its leads, and nothing else.

    Parameters
    ----------
    recording : Recording
        As it arrived.

    Returns
    -------
    bool
        False where anything speaks for a person, where it lasts for more than a minute, and where
        the rate is below 100 Hz.

    Notes
    -----
    Both must hold. (1) In three quarters of the leads, an upright rectangle of 0.5 to 1.5 mV and
    100 to 300 ms begins within 10 ms of the same moment. A body cannot do that: what the limb
    electrodes pick up makes aVR + aVL + aVF zero, so that they are never upright together; a
    generator feeds each channel. A file of fewer leads, such as the eight that are independent,
    must show it in three quarters of those. (2) Between the rectangles every such lead is still:
    a recording of a person that begins with a pulse is a recording of a person. Height and length
    are judged elsewhere: a wrong pulse must be known as a pulse too.
    """
    if recording.rate_hz < LEAST_RATE_HZ or recording.duration_s > LONGEST_S:
        return False
    spans = _list_spans(recording)
    together = _find_leads_together(spans, recording.rate_hz)
    if len(together) < LEAST_SHARE_OF_LEADS * len(recording.leads):
        return False
    around = round(_AROUND_MS * recording.rate_hz / 1000.0)
    between = _mark_between([spans[lead] for lead in together], recording.sample_count, around)
    return all(
        _is_still(samples, between, recording.rate_hz) for samples in recording.microvolts[together]
    )


def _list_spans(recording: Recording) -> list[tuple[PulseSpan, ...]]:
    """The pulses of each lead; of a person's recording only until too many leads have none."""
    spans: list[tuple[PulseSpan, ...]] = []
    may_lack = len(recording.leads) * (1.0 - LEAST_SHARE_OF_LEADS)
    for samples in recording.microvolts:
        spans.append(list_pulse_spans(samples, recording.rate_hz))
        if spans.count(()) > may_lack:
            break
    return spans


def _find_leads_together(spans: list[tuple[PulseSpan, ...]], rate_hz: float) -> list[int]:
    """The leads in which a pulse begins at the moment at which it does in most leads."""
    leeway = max(1, round(SAME_MOMENT_MS * rate_hz / 1000.0))
    best: list[int] = []
    for moment in sorted({each.start for pulses in spans for each in pulses}):
        there = [
            lead
            for lead, pulses in enumerate(spans)
            if any(0 <= each.start - moment <= leeway for each in pulses)
        ]
        best = max(best, there, key=len)
    return best


def _mark_between(spans: list[tuple[PulseSpan, ...]], sample_count: int, around: int) -> BoolArray:
    """Samples outside all pulses and the edges around them."""
    between = np.ones(sample_count, dtype=np.bool_)
    for pulse in (each for pulses in spans for each in pulses):
        between[max(0, pulse.start - around) : pulse.end + around] = False
    return between


def _is_still(samples: FloatArray, between: BoolArray, rate_hz: float) -> bool:
    step = max(1, round(_STEP_MS * rate_hz / 1000.0))
    both = between[step:] & between[:-step]
    moved = np.abs(samples[step:] - samples[:-step])[both]
    moved = moved[np.isfinite(moved)]
    return moved.size > 0 and float(np.quantile(moved, _STILL_SHARE)) <= _STILL_UV
