"""Whether a recorder's own calibration pulse is as high and as long as it must be."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from couchside.recording import Recording

PULSE_UV = 1000.0
PULSE_MS = 200.0
GREATEST_ERROR = 0.05
"""1.0 mV ± 5 % [EC11]; for the time base the same share, from memory [EC11]."""

LEAST_RATE_HZ = 100.0
"""Below it an edge cannot be placed to 5 % of 200 ms by the samples around it."""

_NEAR_UV = (500.0, 1500.0)
_NEAR_MS = (100.0, 300.0)
_EDGE_SHARES = (0.1, 0.9)
_AROUND_MS = 20.0
_SETTLE_MS = 10.0

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class LeadPulse:
    """The pulse in one lead, or why there is none.

    Parameters
    ----------
    lead : str
        Which one.
    amplitude_uv : float or None
        Height of the pulse's beginning above the level before it.
    width_ms : float or None
        Between the two half heights.
    rise_ms : float or None
        From a tenth to nine tenths of the height. No shorter than the samples let it be seen.
    reason : str
        Why there is no pulse, in words that may be printed; empty where there is one.
    """

    lead: str
    amplitude_uv: float | None = None
    width_ms: float | None = None
    rise_ms: float | None = None
    reason: str = ""

    @property
    def failures(self) -> tuple[str, ...]:
        """What is wrong, in words that may be printed; empty for a pulse that passes."""
        if self.amplitude_uv is None or self.width_ms is None:
            return (self.reason,)
        height_mv, allowed = self.amplitude_uv / 1000.0, f"± {100 * GREATEST_ERROR:.0f} %"
        said = []
        if abs(self.amplitude_uv - PULSE_UV) > GREATEST_ERROR * PULSE_UV:
            said.append(f"the pulse is {height_mv:.2f} mV high, not 1.00 mV {allowed}")
        if abs(self.width_ms - PULSE_MS) > GREATEST_ERROR * PULSE_MS:
            said.append(f"the pulse is {self.width_ms:.0f} ms long, not 200 ms {allowed}")
        return tuple(said)

    @property
    def has_passed(self) -> bool:
        """Whether height and length are within their limits."""
        return not self.failures


@dataclass(frozen=True, slots=True, kw_only=True)
class PulseSpan:
    """A stretch of one lead that can be a pulse.

    Parameters
    ----------
    search_from, start, end : int
        Samples: one before the rising edge, and those nearest to where the edges cross half the
        height.
    level_uv, height_uv : float
        The level before it, and the height above that.
    width_ms : float
        Between the two half heights.
    """

    search_from: int
    start: int
    end: int
    level_uv: float
    height_uv: float
    width_ms: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CalibrationCheck:
    """The pulse in every lead."""

    leads: tuple[LeadPulse, ...]

    @property
    def has_passed(self) -> bool:
        """Whether it has in every lead."""
        return all(each.has_passed for each in self.leads)


def check_calibration(recording: Recording) -> CalibrationCheck:
    """Find the 1 mV pulse of 200 ms in each lead and measure it.

    Parameters
    ----------
    recording : Recording
        Of the recorder's calibration signal, with no person connected.

    Returns
    -------
    CalibrationCheck
        One entry for each lead, in the recording's order.

    Notes
    -----
    In each lead, the first stretch of 100 to 300 ms whose edges rise by 0.5 to 1.5 mV and fall by
    as much is the pulse. Its height is the median of 10 to 30 ms after the rising edge less that of
    the 20 ms that end 10 ms before it: a high-pass of 0.05 Hz has let it sink by less than 1 % by
    then. Its length lies between the points where the edges cross half the height, interpolated
    between samples. A recorder whose error is so large that no such stretch is found fails with
    that reason. A heartbeat can look like a pulse to it: take the recording with nobody connected.
    Source of the limits: [EC11].
    """
    if recording.rate_hz < LEAST_RATE_HZ:
        reason = f"{recording.rate_hz:g} samples a second are too few to measure a pulse by"
        return CalibrationCheck(
            leads=tuple(LeadPulse(lead=str(lead), reason=reason) for lead in recording.leads)
        )
    return CalibrationCheck(
        leads=tuple(
            _find_pulse(str(lead), samples, recording.rate_hz)
            for lead, samples in zip(recording.leads, recording.microvolts, strict=True)
        )
    )


def list_pulse_spans(samples: FloatArray, rate_hz: float) -> tuple[PulseSpan, ...]:
    """Where one lead has stretches that can be a pulse: 0.5 to 1.5 mV high, 100 to 300 ms long.

    Parameters
    ----------
    samples : ndarray of shape (sample,)
        µV.
    rate_hz : float
        Samples a second.
    """
    return tuple(_list_spans(samples, rate_hz))


def _list_spans(samples: FloatArray, rate_hz: float) -> Iterator[PulseSpan]:
    around = max(2, round(_AROUND_MS * rate_hz / 1000.0))
    settle = max(1, round(_SETTLE_MS * rate_hz / 1000.0))
    for rise in _list_rises(samples, settle, around):
        before = float(np.median(samples[rise - settle - around : rise - settle]))
        top = float(np.median(samples[rise + settle : rise + settle + around]))
        height = top - before
        if not _NEAR_UV[0] <= height <= _NEAR_UV[1]:
            continue
        first = _find_crossing(samples, rise - settle, before + height / 2, rate_hz)
        last = _find_fall(samples, rise + settle, before + height / 2, rate_hz)
        if first is None or last is None or not _NEAR_MS[0] <= last - first <= _NEAR_MS[1]:
            continue
        yield PulseSpan(
            search_from=rise - settle,
            start=round(first * rate_hz / 1000.0),
            end=round(last * rate_hz / 1000.0),
            level_uv=before,
            height_uv=height,
            width_ms=last - first,
        )


def _find_pulse(lead: str, samples: FloatArray, rate_hz: float) -> LeadPulse:
    span = next(_list_spans(samples, rate_hz), None)
    if span is None:
        return LeadPulse(lead=lead, reason="no pulse of about 1 mV and 200 ms was found")
    low, high = (
        _find_crossing(samples, span.search_from, span.level_uv + share * span.height_uv, rate_hz)
        for share in _EDGE_SHARES
    )
    return LeadPulse(
        lead=lead,
        amplitude_uv=span.height_uv,
        width_ms=span.width_ms,
        rise_ms=high - low if low is not None and high is not None else None,
    )


def _list_rises(samples: FloatArray, settle: int, around: int) -> list[int]:
    """Samples at which the signal has begun to rise by half a pulse or more within 10 ms."""
    risen = samples[settle:] - samples[:-settle]
    steep = np.flatnonzero(np.nan_to_num(risen) >= _NEAR_UV[0] / 2)
    starts = steep[np.diff(steep, prepend=-2) > 1] + settle
    inside = (starts >= settle + around) & (starts + settle + around <= samples.size)
    return [int(start) for start in starts[inside]]


def _find_crossing(samples: FloatArray, start: int, level: float, rate_hz: float) -> float | None:
    """When the signal first reaches a level from below after a sample, in ms."""
    above = np.flatnonzero(samples[start : _get_end(start, rate_hz)] >= level)
    return _interpolate(samples, start, above, level, rate_hz)


def _find_fall(samples: FloatArray, start: int, level: float, rate_hz: float) -> float | None:
    """When the signal first falls below a level after a sample, in ms."""
    below = np.flatnonzero(samples[start : _get_end(start, rate_hz)] < level)
    return _interpolate(samples, start, below, level, rate_hz)


def _get_end(start: int, rate_hz: float) -> int:
    """Where to stop looking for an edge: what comes later is longer than any pulse."""
    return start + round(2.0 * _NEAR_MS[1] * rate_hz / 1000.0)


def _interpolate(
    samples: FloatArray, start: int, crossed: NDArray[np.intp], level: float, rate_hz: float
) -> float | None:
    if crossed.size == 0:
        return None
    at = start + int(crossed[0])
    if at == 0 or samples[at] == samples[at - 1]:
        return 1000.0 * at / rate_hz
    share = (level - samples[at - 1]) / (samples[at] - samples[at - 1])
    return 1000.0 * (at - 1 + float(share)) / rate_hz
