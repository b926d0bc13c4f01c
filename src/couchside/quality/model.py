"""What the check says: findings with their remedies, and one verdict."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from couchside.errors import InvalidInput
from couchside.measures.model import Measures
from couchside.measures.tell_now import TellNow
from couchside.recording import Electrode
from couchside.waves.model import Waves


class Verdict(StrEnum):
    """The one answer, and also what a single finding asks for."""

    KEEP = "keep"
    KEEP_WITH_REMARK = "keep with remark"
    RECORD_AGAIN = "record again"


class FindingKind(StrEnum):
    """The kinds of thing that the check notices."""

    WANDER = "baseline wander"
    MAINS = "mains interference"
    MUSCLE_TREMOR = "muscle tremor"
    LIMB_TREMOR = "limb tremor"
    MOVEMENT = "movement"
    POP = "electrode pop"
    FLAT = "flat lead"
    SATURATED = "saturated"
    MISSING_SAMPLES = "missing samples"
    LOOSE_CONTACT = "loose contact"
    LOST_CONTACT = "lost contact"
    CABLES_EXCHANGED = "cables exchanged"
    MISPLACED = "electrode misplaced"
    LEADS_DISAGREE = "leads disagree"
    LEADS_MISNAMED = "lead names exchanged"
    LEAD_COPIED = "lead copied"
    LEADS_MISSING = "leads missing"
    TOO_SHORT = "too short"
    SAMPLING_RATE = "sampling rate"
    RESOLUTION = "resolution"
    FILTER = "filter"
    FILTER_NOT_STATED = "filter not stated"
    AMPLITUDE = "amplitude"
    NO_HEARTBEAT = "no heartbeat found"
    HARD_TO_READ = "hard to read"
    IDENTITY = "identity incomplete"
    UNLIKE_EARLIER = "unlike earlier recording"


class Reading(StrEnum):
    """What a reader takes from a tracing: waves, lead by lead, and measures of the whole."""

    EVERYTHING = "everything"
    P_WAVE = "P wave"
    QRS = "QRS"
    ST_LEVEL = "ST level"
    T_WAVE = "T wave"
    PR_INTERVAL = "PR interval"
    QRS_DURATION = "QRS duration"
    QT_INTERVAL = "QT interval"
    P_AXIS = "P axis"
    AXIS = "axis"
    VOLTAGES = "voltages"
    RHYTHM = "rhythm"


@dataclass(frozen=True, slots=True, kw_only=True)
class Hidden:
    """One thing that a finding makes untrustworthy.

    Parameters
    ----------
    what : Reading
        The wave or measure.
    leads : tuple of str
        Leads in which it cannot be trusted, worst first; empty where it is a measure of the whole
        recording.
    """

    what: Reading
    leads: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Finding:
    """One thing the check noticed.

    Parameters
    ----------
    kind : FindingKind
        What it is.
    asks : Verdict
        What this finding alone would have the recorder do; KEEP is "for information".
    sentence : str
        What was noticed and where, for the recorder, in one sentence.
    remedy : str
        What to do about it first, in one imperative sentence; empty where nothing can be done.
    confidence : float
        How sure the check is, from 0 to 1.
    electrodes : tuple of Electrode
        Where it comes from, most likely first; empty where it is no electrode's or cannot be told.
    leads : tuple of str
        Leads in which it shows, worst first.
    spans_s : tuple of (start, end)
        When, in seconds from the start of the recording; empty means all through.
    figures : mapping of str to float
        What was measured, under names that carry units, such as ``"noise_rms_uv"``.
    hides : tuple of Hidden
        What of the reading it makes untrustworthy, weightiest first; empty where nothing is.
    further_remedies : tuple of str
        What to try next where the first did not help, in that order, in sentences like `remedy`.
    hung : mapping of Electrode to Electrode
        The electrode that each displaced cable seems to hang on; empty where no cables are told.
    """

    kind: FindingKind
    asks: Verdict
    sentence: str
    remedy: str
    confidence: float
    electrodes: tuple[Electrode, ...] = ()
    leads: tuple[str, ...] = ()
    spans_s: tuple[tuple[float, float], ...] = ()
    figures: Mapping[str, float] = field(default_factory=dict)
    hides: tuple[Hidden, ...] = ()
    further_remedies: tuple[str, ...] = ()
    hung: Mapping[Electrode, Electrode] = field(default_factory=dict)

    @property
    def remedies(self) -> tuple[str, ...]:
        """Everything to try, in the order in which to try it."""
        return (self.remedy, *self.further_remedies) if self.remedy else ()

    def __post_init__(self) -> None:
        if not 0.0 <= self.confidence <= 1.0:
            raise InvalidInput(f"a confidence of {self.confidence} is not between 0 and 1")
        object.__setattr__(self, "figures", MappingProxyType(dict(self.figures)))
        object.__setattr__(self, "hung", MappingProxyType(dict(self.hung)))


class Band(StrEnum):
    """The bands in which noise is weighed."""

    WANDER = "wander"
    MOVEMENT = "movement"
    MAINS = "mains"
    MUSCLE = "muscle"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ElectrodeNoise:
    """How much noise each electrode brings in, by band.

    Parameters
    ----------
    electrodes : tuple of Electrode
        The nine that enter a lead: RA, LA, LL, C1..C6.
    bands : tuple of Band
        Rows of `noise_rms_uv`.
    noise_rms_uv : array of shape (band, electrode)
        Noise at the electrode, in µV rms.
    fit : array of shape (band,)
        Share of the noise that electrodes alone explain, from 0 to 1; low means "cannot tell".
    """

    electrodes: tuple[Electrode, ...]
    bands: tuple[Band, ...]
    noise_rms_uv: NDArray[np.float64]
    fit: NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FiredRow:
    """One row of the verdict policy that decided on a finding.

    Parameters
    ----------
    row : str
        Its name.
    asks : Verdict
        What it asks.
    source : str
        Where the department has it from.
    remark : str
        What it tells the reader, before anything is filled in.
    finding : Finding
        What it decided on.
    """

    row: str
    asks: Verdict
    source: str
    remark: str
    finding: Finding


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PolicyAnswer:
    """What the verdict policy says of one recording.

    Parameters
    ----------
    title : str
        Whose policy it is.
    digest : str
        Tells one text of a policy from another.
    is_example : bool
        Whether it is the shipped one.
    rows : tuple of FiredRow
        In the order of the findings; findings that no row fits are not among them.
    remark : str
        What the reader is told where the recording is kept, ready to print; empty where nothing.
    problem : str
        Why the department's own policy was not used, in one sentence; empty where it was, or where
        there is none.
    """

    title: str
    digest: str
    is_example: bool
    rows: tuple[FiredRow, ...]
    remark: str = ""
    problem: str = ""

    def find_row_of(self, finding: Finding) -> FiredRow | None:
        """The row that decided on a finding; None where none fitted."""
        return next((fired for fired in self.rows if fired.finding is finding), None)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Assessment:
    """What Couchside says of one recording.

    Parameters
    ----------
    verdict : Verdict
        The strictest of what the findings ask for under the policy.
    findings : tuple of Finding
        Weightiest first.
    measures : Measures
        The numbers a reader quotes.
    waves : Waves
        Beats and boundaries, with the representative beat.
    electrode_noise : ElectrodeNoise or None
        None where the leads do not allow it to be solved for.
    code_version : str
        The version of Couchside that made this.
    tell_now : TellNow or None
        What the department's protocol wants shown to a clinician at once; None where no protocol
        was held against it.
    policy : PolicyAnswer or None
        The rows of the verdict policy that fired, and the remark that they write.
    unreadable_probability : float or None
        How likely readers are to call the recording unacceptable as a whole, from 0 to 1; None
        where it cannot be told, as for other leads than the standard twelve.
    left_out_leads : frozenset of str
        Leads that say nothing about cables: they cannot be read, or the limb leads do not add up.
    """

    verdict: Verdict
    findings: tuple[Finding, ...]
    measures: Measures
    waves: Waves
    electrode_noise: ElectrodeNoise | None
    code_version: str
    tell_now: TellNow | None = None
    policy: PolicyAnswer | None = None
    unreadable_probability: float | None = None
    left_out_leads: frozenset[str] = frozenset()
