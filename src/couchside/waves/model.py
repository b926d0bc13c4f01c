"""What delineation finds: beats, and the boundaries of their waves."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WaveBounds:
    """Onset, peak and offset of one kind of wave, as samples counted from 0; NaN where absent.

    Parameters
    ----------
    onset, peak, offset : arrays of one common shape
        (lead, beat) in `Waves`, (lead,) in `RepresentativeBeat`.
    """

    onset: FloatArray
    peak: FloatArray
    offset: FloatArray

    def __post_init__(self) -> None:
        _freeze_arrays(self)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GlobalBounds:
    """Boundaries over all leads together: earliest onset, latest offset [AHA2007-I].

    Parameters
    ----------
    p_onset, p_offset, qrs_onset, qrs_offset, t_offset : float
        Samples counted from the start of the representative beat; NaN where absent.
    """

    p_onset: float
    p_offset: float
    qrs_onset: float
    qrs_offset: float
    t_offset: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RepresentativeBeat:
    """The beat that stands for a group of beats, free of most noise.

    Parameters
    ----------
    leads : tuple of str
        As in the recording.
    microvolts : array of shape (lead, sample)
        Its samples; the level just before the QRS onset is 0.
    rate_hz : float
        As in the recording.
    fiducial_sample : int
        Where the QRS detection point stands in it.
    beat_count : int
        How many beats went into it.
    p, qrs, t : WaveBounds
        Boundaries per lead, arrays of shape (lead,).
    overall : GlobalBounds
        Boundaries over all leads.
    residual_rms_uv : array of shape (lead,)
        What the beats differ from it by, in µV rms: the noise that averaging removed.
    group : int
        The number of its group in `Waves.beat_groups`; 0 is the leading one.
    """

    leads: tuple[str, ...]
    microvolts: FloatArray
    rate_hz: float
    fiducial_sample: int
    beat_count: int
    p: WaveBounds
    qrs: WaveBounds
    t: WaveBounds
    overall: GlobalBounds
    residual_rms_uv: FloatArray
    group: int = 0

    def __post_init__(self) -> None:
        _freeze_arrays(self)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Waves:
    """Beats of a recording and the waves found in them.

    Parameters
    ----------
    leads : tuple of str
        As in the recording.
    rate_hz : float
        As in the recording.
    beat_samples : integer array of shape (beat,)
        QRS detection points over all leads, increasing.
    beat_groups : integer array of shape (beat,)
        Beats of one shape share a number; 0 is the leading group.
    p, qrs, t : WaveBounds
        Arrays of shape (lead, beat).
    representative : RepresentativeBeat or None
        Of the leading group; None where no beat was found.
    others : tuple of RepresentativeBeat
        Of each further group of at least two beats; a beat that is like no other stands for itself.
    """

    leads: tuple[str, ...]
    rate_hz: float
    beat_samples: IntArray
    beat_groups: IntArray
    p: WaveBounds
    qrs: WaveBounds
    t: WaveBounds
    representative: RepresentativeBeat | None
    others: tuple[RepresentativeBeat, ...] = ()

    def __post_init__(self) -> None:
        _freeze_arrays(self)

    @property
    def beat_count(self) -> int:
        """How many beats were found."""
        return int(self.beat_samples.shape[0])


def _freeze_arrays(instance: WaveBounds | RepresentativeBeat | Waves) -> None:
    for item in fields(instance):
        value = getattr(instance, item.name)
        if isinstance(value, np.ndarray):
            copied = value.copy()
            copied.setflags(write=False)
            object.__setattr__(instance, item.name, copied)
