"""Paper, speed and gain: what may be chosen, and what is standard."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TypeVar

from couchside.errors import InvalidInput


class PaperSize(StrEnum):
    """A sheet, always landscape."""

    A4 = "A4"
    LETTER = "letter"


class Layout(StrEnum):
    """How the leads stand on the page."""

    THREE_BY_FOUR_AND_ONE = "3x4+1"
    THREE_BY_FOUR_AND_THREE = "3x4+3"
    SIX_BY_TWO = "6x2"
    TWELVE_BY_ONE = "12x1"


class LimbOrder(StrEnum):
    """The order of the limb leads."""

    STANDARD = "standard"
    CABRERA = "Cabrera"


PAPER_MM: dict[PaperSize, tuple[float, float]] = {
    PaperSize.A4: (297.0, 210.0),
    PaperSize.LETTER: (279.4, 215.9),
}
"""Width and height of the sheets, landscape [ISO216, ANSI-Y14.1]."""

SPEEDS_MM_PER_S = (25.0, 50.0)
GAINS_MM_PER_MV = (5.0, 10.0, 20.0)
STANDARD_SPEED_MM_PER_S = 25.0
STANDARD_GAIN_MM_PER_MV = 10.0
"""The usual speeds and gains, and the standard ones [AHA2007-I]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Gains:
    """Millimetres for one millivolt, each one of `GAINS_MM_PER_MV`.

    Parameters
    ----------
    limb_mm_per_mv : float
        For every lead that is no chest lead.
    chest_mm_per_mv : float
        For the chest leads.
    """

    limb_mm_per_mv: float
    chest_mm_per_mv: float

    def __post_init__(self) -> None:
        check_gain(self.limb_mm_per_mv)
        check_gain(self.chest_mm_per_mv)

    @property
    def are_split(self) -> bool:
        """Whether chest leads are drawn at another gain than limb leads."""
        return self.chest_mm_per_mv != self.limb_mm_per_mv

    @property
    def tallest_mm_per_mv(self) -> float:
        """The greater of the two."""
        return max(self.limb_mm_per_mv, self.chest_mm_per_mv)


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintSettings:
    """What was asked of the page, checked.

    Parameters
    ----------
    layout, paper, limb_order
        See the enumerations.
    speed_mm_per_s : float
        One of `SPEEDS_MM_PER_S`.
    gains : Gains
        For limb and chest leads.
    start_s : float
        Second of the recording at which the page begins.
    """

    layout: Layout
    paper: PaperSize
    speed_mm_per_s: float
    gains: Gains
    limb_order: LimbOrder
    start_s: float = 0.0

    def __post_init__(self) -> None:
        check_speed(self.speed_mm_per_s)


Choice = TypeVar("Choice", bound=StrEnum)


def choose(kind: type[Choice], value: str, words: str) -> Choice:
    """The member of that value, whatever its case.

    Raises
    ------
    InvalidInput
        If there is none; the sentence lists the choices.
    """
    for member in kind:
        if member.value.casefold() == str(value).casefold():
            return member
    raise InvalidInput(f"{words} {value!r} is not known; choose {_listed(list(kind))}")


def check_speed(speed_mm_per_s: float) -> None:
    """Refuse a speed that no reader expects."""
    if speed_mm_per_s not in SPEEDS_MM_PER_S:
        choices = _listed([f"{speed:g}" for speed in SPEEDS_MM_PER_S])
        raise InvalidInput(f"a speed of {speed_mm_per_s} mm/s is not drawn; choose {choices}")


def check_gain(gain_mm_per_mv: float) -> None:
    """Refuse a gain that no reader expects."""
    if gain_mm_per_mv not in GAINS_MM_PER_MV:
        choices = _listed([f"{gain:g}" for gain in GAINS_MM_PER_MV])
        raise InvalidInput(f"a gain of {gain_mm_per_mv} mm/mV is not drawn; choose {choices}")


def _listed(choices: list[str] | list[Choice]) -> str:
    words = [str(choice) for choice in choices]
    return f"{', '.join(words[:-1])} or {words[-1]}"
