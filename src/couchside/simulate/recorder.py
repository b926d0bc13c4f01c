"""The recorder: leads, filters, steps, limits, and what it says about itself."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.signal import lfilter

from couchside.errors import InvalidInput
from couchside.recording import (
    INDEPENDENT_LEADS,
    AcquisitionSettings,
    get_lead_matrix,
    twelve_from_eight,
)

FloatArray = NDArray[np.float64]

_HIGHEST_SHARE_OF_RATE = 0.45


@dataclass(frozen=True, slots=True, kw_only=True)
class Recorder:
    """How the potentials become a recording.

    Parameters
    ----------
    rate_hz : float
        Samples per second of each lead.
    high_pass_hz, low_pass_hz : float
        Edges of its first-order filters; sampling itself is the low-pass where the stated one
        lies at or above 0.45 of the rate.
    notch_hz : float or None
        Mains filter, none where None.
    resolution_uv : float
        Microvolts per step.
    range_uv : float
        Largest value either way; beyond it the signal is cut off.
    offset_range_mv : float
        How far apart two electrodes' half-cell potentials may be before an input saturates.
    gain : float
        1 where the gain is right.
    dropped_spans_s : tuple of (start, end)
        Seconds in which samples were lost; they are NaN.
    states_filters : bool
        Whether the file says which filters were used.
    """

    rate_hz: float = 500.0
    high_pass_hz: float = 0.05
    low_pass_hz: float = 150.0
    notch_hz: float | None = None
    resolution_uv: float = 1.0
    range_uv: float = 10_000.0
    offset_range_mv: float = 300.0
    gain: float = 1.0
    dropped_spans_s: tuple[tuple[float, float], ...] = ()
    states_filters: bool = True

    def __post_init__(self) -> None:
        if not 50.0 <= self.rate_hz <= 16_000.0:
            raise InvalidInput(f"a recorder's rate of {self.rate_hz} Hz is not in 50 … 16,000 Hz")
        if not 0.0 < self.high_pass_hz < self.low_pass_hz:
            raise InvalidInput(
                f"the pass band {self.high_pass_hz} … {self.low_pass_hz} Hz is empty; "
                "the high-pass must lie below the low-pass"
            )
        for name in ("resolution_uv", "range_uv", "offset_range_mv"):
            if not getattr(self, name) > 0.0:
                raise InvalidInput(f"{name} is {getattr(self, name)}; give a number above 0")

    @property
    def rail_uv(self) -> float:
        """The last step within its range, at which a signal is cut off."""
        return float(np.round(self.range_uv / self.resolution_uv)) * self.resolution_uv

    @property
    def settings(self) -> AcquisitionSettings:
        """What the file says about the filters."""
        if not self.states_filters:
            return AcquisitionSettings(resolution_uv=self.resolution_uv)
        return AcquisitionSettings(
            high_pass_hz=self.high_pass_hz,
            low_pass_hz=self.low_pass_hz,
            notch_hz=self.notch_hz or 0.0,
            resolution_uv=self.resolution_uv,
        )


def record(potentials_uv: FloatArray, recorder: Recorder) -> FloatArray:
    """The twelve leads as a recorder stores them.

    Parameters
    ----------
    potentials_uv : array of shape (10, sample)
        At the recorder's inputs.
    recorder : Recorder
        Its filters, steps and limits.

    Returns
    -------
    array of shape (12, sample)
        In µV, on the recorder's steps. I, II and V1–V6 are measured, the other four made from them.
        The recorder has long settled at the mean of the first second.
    """
    inputs_end_uv = 1000.0 * recorder.offset_range_mv
    eight = get_lead_matrix(INDEPENDENT_LEADS) @ potentials_uv
    eight = np.clip(eight, -inputs_end_uv, inputs_end_uv)
    settled = eight[:, : max(1, round(recorder.rate_hz))].mean(axis=1, keepdims=True)
    return record_eight(eight - settled, recorder)


def record_eight(eight: FloatArray, recorder: Recorder) -> FloatArray:
    """The twelve leads from the eight that are measured, by a recorder settled at 0.

    Parameters
    ----------
    eight : array of shape (8, sample)
        I, II, V1–V6 in µV.
    recorder : Recorder
        Its filters, steps and limits.

    Returns
    -------
    array of shape (12, sample)
    """
    eight = _high_pass(eight, recorder) * recorder.gain
    eight = _notch(_low_pass(eight, recorder), recorder)
    step = recorder.resolution_uv
    steps = np.round(np.clip(eight, -recorder.range_uv, recorder.range_uv) / step)
    twelve: FloatArray = np.round(twelve_from_eight(steps)) * step
    for start_s, end_s in recorder.dropped_spans_s:
        first, last = (round(moment * recorder.rate_hz) for moment in (start_s, end_s))
        twelve[:, first:last] = np.nan
    return twelve


def _high_pass(leads: FloatArray, recorder: Recorder) -> FloatArray:
    warped = np.tan(np.pi * recorder.high_pass_hz / recorder.rate_hz)
    forward = np.array([1.0, -1.0]) / (1.0 + warped)
    backward = np.array([1.0, -(1.0 - warped) / (1.0 + warped)])
    filtered: FloatArray = lfilter(forward, backward, leads, axis=1)
    return filtered


def _low_pass(leads: FloatArray, recorder: Recorder) -> FloatArray:
    if recorder.low_pass_hz >= _HIGHEST_SHARE_OF_RATE * recorder.rate_hz:
        return leads
    warped = np.tan(np.pi * recorder.low_pass_hz / recorder.rate_hz)
    forward = np.array([1.0, 1.0]) * warped / (1.0 + warped)
    backward = np.array([1.0, -(1.0 - warped) / (1.0 + warped)])
    filtered: FloatArray = lfilter(forward, backward, leads, axis=1)
    return filtered


def _notch(leads: FloatArray, recorder: Recorder) -> FloatArray:
    if recorder.notch_hz is None:
        return leads
    angle = 2.0 * np.pi * recorder.notch_hz / recorder.rate_hz
    width = np.tan(np.pi * recorder.notch_hz / _NOTCH_QUALITY / recorder.rate_hz)
    forward = np.array([1.0, -2.0 * np.cos(angle), 1.0]) / (1.0 + width)
    backward = np.array([1.0, -2.0 * np.cos(angle) / (1.0 + width), (1.0 - width) / (1.0 + width)])
    filtered: FloatArray = lfilter(forward, backward, leads, axis=1)
    return filtered


_NOTCH_QUALITY = 25.0
