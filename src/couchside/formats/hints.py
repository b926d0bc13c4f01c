"""What the person who brings a file may add where the file itself is silent."""

from __future__ import annotations

import math
from dataclasses import dataclass

from couchside.errors import InvalidInput
from couchside.formats.units import KNOWN_UNITS, find_microvolts_per


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadHints:
    """Used only where the file says nothing; what a file states is never overruled.

    Parameters
    ----------
    rate_hz : float or None
        Samples per second, the commands' ``--rate``.
    microvolts_per_unit : float or None
        What one step of the stored numbers is worth in µV, the commands' ``--unit``;
        see `parse_unit`.

    Raises
    ------
    InvalidInput
        If a value is not a positive, finite number.
    """

    rate_hz: float | None = None
    microvolts_per_unit: float | None = None

    def __post_init__(self) -> None:
        _check_positive(self.rate_hz, "a sampling rate", "--rate")
        _check_positive(self.microvolts_per_unit, "a step in microvolts", "--unit")


def parse_unit(text: str) -> float:
    """Microvolts per stored number, from a unit's name or a bare number of µV per step.

    Parameters
    ----------
    text : str
        ``"mV"``, ``"uV"``, ``"µV"``, or a number such as ``"4.88"``.

    Returns
    -------
    float
        What one stored unit is worth in µV.

    Raises
    ------
    InvalidInput
        If the text is neither.
    """
    named = find_microvolts_per(text)
    if named is not None:
        return named
    try:
        number = float(text.replace(",", "."))
    except ValueError:
        number = math.nan
    if not (math.isfinite(number) and number > 0):
        raise InvalidInput(
            f"the unit {text!r} is not known; give {KNOWN_UNITS}, "
            "or the number of microvolts in one step of the file"
        )
    return number


def _check_positive(value: float | None, what: str, option: str) -> None:
    if value is not None and not (math.isfinite(value) and value > 0):
        raise InvalidInput(f"{value} cannot be {what}; give {option} a positive number")


NO_HINTS = ReadHints()
"""What is assumed where nobody added anything."""
