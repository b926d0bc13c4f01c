"""What a comparison of two recordings says; what cannot be compared carries its reason."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from couchside.errors import InvalidInput
from couchside.measures import MeasureName
from couchside.quality import Assessment
from couchside.quality.interchange import EarlierEvidence
from couchside.recording import Electrode, Recording

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Examined:
    """A recording with what the check says of it."""

    recording: Recording
    assessment: Assessment

    @property
    def when(self) -> str:
        """When it was taken, as far as it says: "of 2026-03-02 08:05"."""
        start = self.recording.start
        return f"of {start:%Y-%m-%d %H:%M}" if start else "without a stated time"


class Weight(StrEnum):
    """What a difference amounts to; a description, never a diagnosis."""

    NOTHING = "within measuring error"
    USUAL = "usual between days"
    MORE = "more than usual"
    NOT_COMPARABLE = "not comparable"


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """How one measure changed.

    Parameters
    ----------
    name : MeasureName
        Which one.
    unit : str
        Of all numbers here.
    new, old : float or None
        The two values; None where there is none.
    change : float or None
        New less old; an axis by the shorter way around. None where one value is missing.
    uncertainty : float or None
        Half-width of the change from those of both values; None where they are not known.
    usual : float
        So much a change between two days usually is at most.
    source : str
        Where `usual` comes from.
    reason : str
        Why there is no change; empty where there is one.
    """

    name: MeasureName
    unit: str
    new: float | None
    old: float | None
    change: float | None
    uncertainty: float | None
    usual: float
    source: str
    reason: str = ""

    def __post_init__(self) -> None:
        if (self.change is None) != bool(self.reason):
            raise InvalidInput(f"{self.name}: give either a change or the reason for none")

    @property
    def weight(self) -> Weight:
        """What the change amounts to."""
        return weigh(self.change, self.uncertainty, self.usual)


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """How much one part of a beat changed in one lead.

    Parameters
    ----------
    change_uv : float or None
        New less old; None where it cannot be had.
    uncertainty_uv : float
        What the noise left in both averages makes uncertain.
    usual_uv : float
        So much a change between two days usually is at most.
    reason : str
        Why there is no change; empty where there is one.
    """

    change_uv: float | None
    uncertainty_uv: float
    usual_uv: float
    reason: str = ""

    @property
    def weight(self) -> Weight:
        """What the change amounts to."""
        return weigh(self.change_uv, self.uncertainty_uv, self.usual_uv)


@dataclass(frozen=True, slots=True, kw_only=True)
class LeadDifference:
    """How one lead's representative beat changed.

    Parameters
    ----------
    lead : str
        Which lead.
    qrs : Difference
        Of its size from the deepest to the highest point.
    st : Difference
        Of its level 60 ms after J.
    t : Difference
        Of the height of T.
    largest_qrs_uv : float
        The largest difference between the two aligned beats within QRS.
    """

    lead: str
    qrs: Difference
    st: Difference
    t: Difference
    largest_qrs_uv: float


class UnlikeKind(StrEnum):
    """In what two recordings may not be like for like."""

    PLACEMENT = "placement"
    LEADS = "leads"
    FILTER = "filter"
    SAMPLING = "sampling"
    GAIN = "gain"
    RHYTHM = "rhythm"
    CONDUCTION = "conduction"
    RATE = "rate"
    CABLES = "cables"
    QUALITY = "quality"
    ELECTRODES = "electrodes"


@dataclass(frozen=True, slots=True, kw_only=True)
class Unlike:
    """One thing in which the two recordings are not like for like, in a sentence."""

    kind: UnlikeKind
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SameHeart:
    """Whether the two beats look like one heart: a prompt to check identity, never a fact.

    Parameters
    ----------
    distance : float or None
        How unlike the beats are, as a natural logarithm; None where they cannot be compared.
    probability : float or None
        That both come from one heart, were both equally likely beforehand.
    prompts : bool
        Whether the recorder should make sure whose recording this is.
    sentence : str
        What is said of it, in words that may be printed.
    """

    distance: float | None
    probability: float | None
    prompts: bool
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Exchange:
    """How the cables of one of the two recordings seem to have hung, by both together.

    Parameters
    ----------
    cables : mapping of Electrode to Electrode
        The electrode on which each displaced cable seems to hang; empty where all hang right.
    words : str
        The same in words; empty where all hang right.
    probability : float
        That cables of one of the two were displaced; where none seem to be, that none were.
    now : bool
        Whether it is the new recording rather than the earlier one.
    """

    cables: Mapping[Electrode, Electrode] = field(default_factory=dict)
    words: str = ""
    probability: float
    now: bool = False

    def __post_init__(self) -> None:
        object.__setattr__(self, "cables", MappingProxyType(dict(self.cables)))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class AlignedBeats:
    """Both representative beats on one time axis, for drawing one over the other.

    Parameters
    ----------
    leads : tuple of str
        Those that both recordings have, in the order of the new one.
    new_uv, old_uv : array of shape (lead, sample)
        The level just before QRS is 0; NaN where a beat ends.
    rate_hz : float
        Of both.
    qrs_onset, qrs_offset : float
        Of the new beat, in samples from the start.
    """

    leads: tuple[str, ...]
    new_uv: FloatArray
    old_uv: FloatArray
    rate_hz: float
    qrs_onset: float
    qrs_offset: float

    def __post_init__(self) -> None:
        for name in ("new_uv", "old_uv"):
            copied = np.array(getattr(self, name), dtype=np.float64, copy=True)
            copied.setflags(write=False)
            object.__setattr__(self, name, copied)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Comparison:
    """One recording against an earlier one of the same person.

    Parameters
    ----------
    old : Examined
        The earlier recording.
    changes : tuple of Change
        Of rate, intervals, QTc and axes.
    leads : tuple of LeadDifference
        Of each lead that both have; empty where the beats could not be aligned.
    beats : AlignedBeats or None
        None where one recording has no representative beat, or no lead is common.
    unlike : tuple of Unlike
        In what they are not like for like; empty where nothing is known against it.
    same_heart : SameHeart
        Whether it looks like one heart.
    exchange : Exchange or None
        What both recordings say of the cables; None where they cannot be asked.
    cable_evidence : EarlierEvidence or None
        What the earlier recording says of each arrangement; None likewise.
    """

    old: Examined
    changes: tuple[Change, ...]
    leads: tuple[LeadDifference, ...]
    beats: AlignedBeats | None
    unlike: tuple[Unlike, ...]
    same_heart: SameHeart
    exchange: Exchange | None
    cable_evidence: EarlierEvidence | None = None

    @property
    def notable_changes(self) -> tuple[Change, ...]:
        """Those that are more than usual between two days."""
        return tuple(change for change in self.changes if change.weight is Weight.MORE)


def weigh(change: float | None, uncertainty: float | None, usual: float) -> Weight:
    """What a change amounts to against what measuring and what days make of it."""
    if change is None:
        return Weight.NOT_COMPARABLE
    if abs(change) <= (uncertainty or 0.0):
        return Weight.NOTHING
    return Weight.USUAL if abs(change) <= usual else Weight.MORE
