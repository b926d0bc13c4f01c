"""The numbers a reader quotes, each with its unit, its method and, where none, the reason."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from couchside.errors import InvalidInput


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


class Standing(StrEnum):
    """Where a value stands against its limits; a description, never a diagnosis."""

    WITHIN = "within limits"
    BELOW = "below limits"
    ABOVE = "above limits"
    NO_LIMITS = "no limits"


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Reference limits, with the people they hold for and where they come from."""

    low: float | None
    high: float | None
    population: str
    source: str


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
        ``"ms"``, ``"/min"``, ``"deg"``, ``"mV"``.
    method : str
        How it was measured, in words that may be printed, such as ``"Fridericia"``.
    reason : str
        Why there is no value, in words that may be printed; empty where there is one.
    limits : Limits or None
        Reference limits, where some apply to this person.
    """

    name: MeasureName
    value: float | None
    unit: str
    method: str
    reason: str = ""
    limits: Limits | None = None

    def __post_init__(self) -> None:
        if (self.value is None) != bool(self.reason):
            raise InvalidInput(f"{self.name}: give either a value or the reason why there is none")

    @property
    def standing(self) -> Standing:
        """Where the value stands against the limits."""
        if self.value is None or self.limits is None:
            return Standing.NO_LIMITS
        if self.limits.low is not None and self.value < self.limits.low:
            return Standing.BELOW
        if self.limits.high is not None and self.value > self.limits.high:
            return Standing.ABOVE
        return Standing.WITHIN


@dataclass(frozen=True, slots=True, kw_only=True)
class Measures:
    """Every measure of a recording, each present exactly once, in printing order."""

    values: tuple[Measured, ...]

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
