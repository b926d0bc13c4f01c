"""What is said of a rhythm: RR intervals, pauses, early and wide beats, groups."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from couchside.waves.model import FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class RrInterval:
    """One RR interval and when its first beat was."""

    from_s: float
    rr_ms: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BeatNote:
    """A beat that stands out.

    Parameters
    ----------
    at_s : float
        When, in seconds from the start of the recording.
    early_share : float or None
        By how much it came sooner than the RR around it, from 0 to 1; None where it did not.
    qrs_ms : float or None
        Its QRS duration where that is wide; else None.
    """

    at_s: float
    early_share: float | None = None
    qrs_ms: float | None = None

    @property
    def words(self) -> str:
        """A description of the measurement, such as ``"early by 32 %, wide (152 ms)"``."""
        early = "" if self.early_share is None else f"early by {100 * self.early_share:.0f} %"
        wide = "" if self.qrs_ms is None else f"wide ({self.qrs_ms:.0f} ms)"
        return ", ".join(part for part in (early, wide) if part)


@dataclass(frozen=True, slots=True, kw_only=True)
class BeatGroup:
    """Beats of one shape: how many, and the median of their QRS duration."""

    number: int
    count: int
    qrs_ms: float | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Rhythm:
    """RR intervals and the beats that stand out, or the reason why there are none.

    Parameters
    ----------
    beat_count : int
        All beats.
    reason : str
        Why nothing could be measured; empty where it could.
    rr_ms, rr_from_s : array of shape (interval,)
        Every RR interval that is known, and when its first beat was.
    mean_rr_ms : float or None
        Of all of them.
    shortest, longest : RrInterval or None
        The extremes.
    variation : float or None
        Coefficient of variation: SD / mean.
    rmssd_ms : float or None
        Root of the mean squared difference of successive RR intervals.
    irregular_share : float or None
        Share of the intervals around which the rhythm is too irregular to tell early beats.
    pause_count, pauses
        RR intervals of 2 s or more: how many, and the first of them.
    note_count, notes
        Early and wide beats: how many, and the first of them.
    groups : tuple of BeatGroup
        Largest first.
    """

    beat_count: int
    reason: str = ""
    rr_ms: FloatArray = field(default_factory=lambda: np.empty(0))
    rr_from_s: FloatArray = field(default_factory=lambda: np.empty(0))
    mean_rr_ms: float | None = None
    shortest: RrInterval | None = None
    longest: RrInterval | None = None
    variation: float | None = None
    rmssd_ms: float | None = None
    irregular_share: float | None = None
    pause_count: int = 0
    pauses: tuple[RrInterval, ...] = ()
    note_count: int = 0
    notes: tuple[BeatNote, ...] = ()
    groups: tuple[BeatGroup, ...] = ()

    def __post_init__(self) -> None:
        for name in ("rr_ms", "rr_from_s"):
            copied = getattr(self, name).copy()
            copied.setflags(write=False)
            object.__setattr__(self, name, copied)
