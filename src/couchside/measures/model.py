"""The numbers a reader quotes, each with its unit, its method and, where none, the reason."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from couchside.errors import InvalidInput
from couchside.measures.lead_model import LeadMeasures
from couchside.measures.rhythm_model import Rhythm


class MeasureName(StrEnum):
    """A measure by the name under which it is stored and shown."""

    HEART_RATE = "heart_rate"
    P_DURATION = "p_duration"
    PR_INTERVAL = "pr_interval"
    QRS_DURATION = "qrs_duration"
    QT_INTERVAL = "qt_interval"
    QTC_BAZETT = "qtc_bazett"
    QTC_FRIDERICIA = "qtc_fridericia"
    QTC_FRAMINGHAM = "qtc_framingham"
    QTC_HODGES = "qtc_hodges"
    P_AXIS = "p_axis"
    QRS_AXIS = "qrs_axis"
    T_AXIS = "t_axis"
    JT_INTERVAL = "jt_interval"
    JT_INDEX = "jt_index"
    SOKOLOW_LYON = "sokolow_lyon"
    CORNELL_VOLTAGE = "cornell_voltage"
    CORNELL_PRODUCT = "cornell_product"
    LIMB_QRS_VOLTAGE = "limb_qrs_voltage"
    CHEST_QRS_VOLTAGE = "chest_qrs_voltage"


class Standing(StrEnum):
    """Where a value stands against its limits; a description, never a diagnosis."""

    WITHIN = "within limits"
    BELOW = "below limits"
    ABOVE = "above limits"
    NO_LIMITS = "no limits"


class Trust(StrEnum):
    """How a limit was come by, in words that may be printed."""

    SEEN = "seen in its source"
    SECOND_HAND = "seen at second hand"
    FROM_MEMORY = "from memory, not checked"


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Reference limits, with the people they hold for and where they come from.

    Parameters
    ----------
    low, high : float or None
        In the unit of the measure; None where there is no such side.
    population : str
        Whose limits they are.
    source : str
        Who published them, and which share of healthy people they enclose.
    trust : Trust
        Whether that source was read.
    high_is_outside : bool
        Whether a value equal to `high` is already above, as where the source prints ≥.
    """

    low: float | None
    high: float | None
    population: str
    source: str
    trust: Trust = Trust.SEEN
    high_is_outside: bool = False

    @property
    def short_source(self) -> str:
        """The short name at the head of `source`; and whether it was seen, where it was not."""
        short = self.source.split(",", maxsplit=1)[0]
        return short if self.trust is Trust.SEEN else f"{short}, {self.trust}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """One value, or the reason why there is none.

    Parameters
    ----------
    name : MeasureName
        Which measure.
    value : float or None
        In `unit`; None where it was not measurable.
    unit : str
        ``"ms"``, ``"/min"``, ``"deg"``, ``"mV"``, ``"mV·ms"``, ``"%"``.
    method : str
        How it was measured, in words that may be printed, such as ``"Fridericia"``.
    reason : str
        Why there is no value, in words that may be printed; empty where there is one.
    limits : Limits or None
        Reference limits, where some apply to this person.
    uncertainty : float or None
        In `unit`: nine times in ten the reference lies within so much on either side. None where
        it is not known.
    """

    name: MeasureName
    value: float | None
    unit: str
    method: str
    reason: str = ""
    limits: Limits | None = None
    uncertainty: float | None = None

    def __post_init__(self) -> None:
        if (self.value is None) != bool(self.reason):
            raise InvalidInput(f"{self.name}: give either a value or the reason why there is none")

    @property
    def number(self) -> str:
        """The value as it is shown everywhere, without its unit; empty where there is none."""
        if self.value is None:
            return ""
        shown = f"{self.value:.{_DECIMALS.get(self.unit, 0)}f}"
        return shown.removeprefix("-") if float(shown) == 0 else shown

    @property
    def standing(self) -> Standing:
        """Where the number stands against the limits, as it is shown beside them."""
        if self.value is None or self.limits is None:
            return Standing.NO_LIMITS
        shown, low, high = float(self.number), self.limits.low, self.limits.high
        if low is not None and shown < low:
            return Standing.BELOW
        if high is not None and (shown > high or (self.limits.high_is_outside and shown == high)):
            return Standing.ABOVE
        return Standing.WITHIN

    @property
    def is_outside(self) -> bool:
        """Whether the number, as shown, lies outside its limits."""
        return self.standing in {Standing.BELOW, Standing.ABOVE}


_DECIMALS = {"mV": 2}
"""Digits behind the point by unit; none for the others, whose last digit is noise already."""


@dataclass(frozen=True, slots=True, kw_only=True)
class QtcChoice:
    """The QTc that a stated rule picks.

    Parameters
    ----------
    name : MeasureName
        Which one.
    sentence : str
        Why, and what makes it doubtful, in words that may be printed.
    is_doubtful : bool
        Whether the rhythm is so irregular that the mean RR stands for little.
    """

    name: MeasureName
    sentence: str
    is_doubtful: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Measures:
    """Everything measured in a recording.

    Parameters
    ----------
    values : tuple of Measured
        Each measure exactly once, in printing order.
    leads : tuple of LeadMeasures
        Waves and ST levels of each lead; empty where there is no representative beat.
    rhythm : Rhythm or None
        RR intervals and beats that stand out; None where they were not looked for.
    qtc_choice : QtcChoice or None
        Which QTc to quote, and why; None where there is none.
    """

    values: tuple[Measured, ...]
    leads: tuple[LeadMeasures, ...] = ()
    rhythm: Rhythm | None = None
    qtc_choice: QtcChoice | None = None

    def __iter__(self) -> Iterator[Measured]:
        return iter(self.values)

    def get(self, name: MeasureName) -> Measured:
        """The measure of that name.

        Raises
        ------
        InvalidInput
            If it is not among them.
        """
        for measured in self.values:
            if measured.name == name:
                return measured
        raise InvalidInput(f"{name} is not among the measures")
