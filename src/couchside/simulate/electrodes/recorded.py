"""Noise recorded elsewhere, mixed in at a stated signal-to-noise ratio."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from couchside.errors import InvalidInput
from couchside.recording import ELECTRODES, get_lead_matrix
from couchside.simulate.chance import Chance
from couchside.simulate.electrodes.faults import Fault

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RecordedNoise:
    """One channel of noise without a heart in it.

    Parameters
    ----------
    microvolts : array of shape (sample,)
        In any scale, for it is brought to the ratio asked for. Copied and made read-only.
    rate_hz : float
        Its samples per second.
    """

    microvolts: FloatArray
    rate_hz: float

    def __post_init__(self) -> None:
        noise = np.array(self.microvolts, dtype=np.float64, copy=True)
        if noise.ndim != 1 or noise.size < 2 or not np.isfinite(noise).all():
            raise InvalidInput(
                f"recorded noise of shape {noise.shape}; give one row of finite samples"
            )
        noise.setflags(write=False)
        object.__setattr__(self, "microvolts", noise)


RecordedNoises = Mapping[str, RecordedNoise]
NO_RECORDED_NOISE: RecordedNoises = MappingProxyType({})


def recorded_uv(
    fault: Fault,
    clean_uv: FloatArray,
    rate_hz: float,
    noises: RecordedNoises,
    chance: Chance,
) -> FloatArray:
    """A stretch of recorded noise for one electrode.

    Parameters
    ----------
    fault : Fault
        Names the noise, the ratio in dB and the span.
    clean_uv : array of shape (electrode, sample)
        Potentials without noise, from which the signal's variance is taken: the mean over the leads
        that carry the electrode at full weight (three for a limb, one for the chest).
    rate_hz : float
        Of the recording.
    noises : mapping of str to RecordedNoise
        What there is.
    chance : Chance
        Picks the stretch.

    Returns
    -------
    array of shape (sample,)
        In µV, zero outside the span.

    Raises
    ------
    InvalidInput
        If the noise is not given, is shorter than the span, or is flat.
    """
    if fault.noise_name not in noises:
        known = ", ".join(sorted(noises)) or "none"
        raise InvalidInput(
            f"the scenario calls for recorded noise {fault.noise_name!r}; given were: {known}"
        )
    added = np.zeros(clean_uv.shape[1])
    span = fault.span(clean_uv.shape[1], rate_hz)
    stretch = _stretch(noises[fault.noise_name], span.stop - span.start, rate_hz, chance)
    variance = _signal_variance(fault, clean_uv) / 10.0 ** (fault.snr_db / 10.0)
    added[span] = stretch * np.sqrt(variance / np.mean(stretch**2))
    return added


def _signal_variance(fault: Fault, clean_uv: FloatArray) -> float:
    matrix = get_lead_matrix()
    full = np.isclose(np.abs(matrix[:, ELECTRODES.index(fault.electrode)]), 1.0)
    if not full.any():
        raise InvalidInput(
            f"recorded noise at {fault.electrode} enters no lead; choose another electrode"
        )
    return float((matrix[full] @ clean_uv).var(axis=1).mean())


def _stretch(noise: RecordedNoise, count: int, rate_hz: float, chance: Chance) -> FloatArray:
    spare_s = (len(noise.microvolts) - 1) / noise.rate_hz - count / rate_hz
    if spare_s < 0.0:
        raise InvalidInput("the recorded noise is shorter than the span it should fill")
    seconds = chance.uniform(0.0, spare_s) + np.arange(count) / rate_hz
    places = np.arange(len(noise.microvolts)) / noise.rate_hz
    stretch = np.interp(seconds, places, noise.microvolts)
    stretch -= stretch.mean()
    if not stretch.any():
        raise InvalidInput("the recorded noise is flat and cannot be brought to a ratio")
    return stretch
