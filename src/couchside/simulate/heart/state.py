"""What a scenario says about a heart."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from couchside.errors import InvalidInput
from couchside.recording import Sex


class Rhythm(StrEnum):
    """What sets the pace."""

    SINUS = "sinus rhythm"
    ATRIAL_FIBRILLATION = "atrial fibrillation"
    ATRIAL_FLUTTER = "atrial flutter"
    VENTRICULAR_PACED = "ventricular paced"


class Conduction(StrEnum):
    """How the ventricles are reached."""

    NORMAL = "normal"
    RIGHT_BUNDLE_BRANCH_BLOCK = "right bundle branch block"
    LEFT_BUNDLE_BRANCH_BLOCK = "left bundle branch block"


class AvBlock(StrEnum):
    """What passes from the atria to the ventricles."""

    NONE = "none"
    FIRST_DEGREE = "first degree"
    SECOND_DEGREE_TYPE_1 = "second degree, type 1"
    SECOND_DEGREE_TYPE_2 = "second degree, type 2"
    THIRD_DEGREE = "third degree"


_DROPPING_BLOCKS = frozenset(
    {AvBlock.SECOND_DEGREE_TYPE_1, AvBlock.SECOND_DEGREE_TYPE_2, AvBlock.THIRD_DEGREE}
)


class Territory(StrEnum):
    """A wall of the left ventricle, for a shift of the ST segment."""

    ANTERIOR = "anterior"
    SEPTAL = "septal"
    LATERAL = "lateral"
    INFERIOR = "inferior"
    POSTERIOR = "posterior"
    SUBENDOCARDIAL = "subendocardial"


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """Whose heart it is; one seed is one heart for life.

    Parameters
    ----------
    age_years : float
        0 to 110; the age of the body, whatever the recording states.
    sex : Sex
        FEMALE or MALE; others take the mean of the two.
    heart_seed : int
        Two bodies with the same seed, sex and age have the same heart.
    """

    age_years: float
    sex: Sex
    heart_seed: int

    def __post_init__(self) -> None:
        if not 0.0 <= self.age_years <= 110.0:
            raise InvalidInput(f"an age of {self.age_years} years is not between 0 and 110")


@dataclass(frozen=True, slots=True, kw_only=True)
class HeartState:
    """How the heart beats in this recording; None leaves a value to the person's own heart.

    Parameters
    ----------
    rhythm, conduction, av_block
        What sets the pace, how the ventricles are reached, what passes between.
    rate_per_min : float or None
        Ventricular rate; in AV block the rate of the atria, the ventricles escaping at 42 where
        nothing passes.
    pr_ms, qrs_ms, qtc_ms : float or None
        Intervals over all leads; `qtc_ms` by Fridericia.
    axis_deg : float or None
        Frontal QRS axis from net areas.
    sinus_arrhythmia_ms : float or None
        How far breathing moves the RR interval, half of peak to peak; at most a fifth of it.
    premature_atrial_share, premature_ventricular_share : float
        Share of beats that come early, 0 to 0.5.
    voltage_scale : float
        1 is the person's own; 1.7 gives left ventricular voltage, 0.35 low voltage.
    dextrocardia : bool
        The heart lies as in a mirror.
    st_territory : Territory or None
        Wall over which the ST segment is raised; SUBENDOCARDIAL lowers it widely.
    st_shift_uv : float
        Size of the shift where it is greatest, in µV.
    """

    rhythm: Rhythm = Rhythm.SINUS
    conduction: Conduction = Conduction.NORMAL
    av_block: AvBlock = AvBlock.NONE
    rate_per_min: float | None = None
    pr_ms: float | None = None
    qrs_ms: float | None = None
    qtc_ms: float | None = None
    axis_deg: float | None = None
    sinus_arrhythmia_ms: float | None = None
    premature_atrial_share: float = 0.0
    premature_ventricular_share: float = 0.0
    voltage_scale: float = 1.0
    dextrocardia: bool = False
    st_territory: Territory | None = None
    st_shift_uv: float = 0.0

    def __post_init__(self) -> None:
        _check_range("rate_per_min", self.rate_per_min, 20.0, 300.0)
        _check_range("pr_ms", self.pr_ms, 60.0, 500.0)
        _check_range("qrs_ms", self.qrs_ms, 30.0, 240.0)
        _check_range("qtc_ms", self.qtc_ms, 250.0, 700.0)
        _check_range("axis_deg", self.axis_deg, -180.0, 180.0)
        _check_range("sinus_arrhythmia_ms", self.sinus_arrhythmia_ms, 0.0, 300.0)
        _check_range("premature_atrial_share", self.premature_atrial_share, 0.0, 0.5)
        _check_range("premature_ventricular_share", self.premature_ventricular_share, 0.0, 0.5)
        _check_range("voltage_scale", self.voltage_scale, 0.05, 5.0)
        _check_range("st_shift_uv", self.st_shift_uv, 0.0, 2000.0)
        _check_together(self)


def _check_together(state: HeartState) -> None:
    early = state.premature_atrial_share + state.premature_ventricular_share
    if state.rhythm is not Rhythm.SINUS and (state.av_block is not AvBlock.NONE or early):
        raise InvalidInput(
            f"{state.rhythm} goes without AV block and early beats; take sinus rhythm for them"
        )
    if early and state.av_block in _DROPPING_BLOCKS:
        raise InvalidInput(
            f"AV block of the {state.av_block} goes without early beats; leave one of them out"
        )
    paced = state.rhythm is Rhythm.VENTRICULAR_PACED
    if paced and state.conduction is not Conduction.NORMAL:
        raise InvalidInput(f"paced beats do not take the way of a {state.conduction}; leave it out")


def _check_range(name: str, value: float | None, low: float, high: float) -> None:
    if value is not None and not low <= value <= high:
        raise InvalidInput(f"{name} is {value}; give a number between {low:g} and {high:g}")
