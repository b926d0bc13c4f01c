"""Units of voltage, as the formats write them, in microvolts."""

from __future__ import annotations

KNOWN_UNITS = "uV, mV, V or nV"
"""How a message lists the units that may be given."""

_MICROVOLTS_PER = {
    "v": 1e6,
    "volt": 1e6,
    "volts": 1e6,
    "mv": 1e3,
    "millivolt": 1e3,
    "millivolts": 1e3,
    "uv": 1.0,
    "µv": 1.0,  # the micro sign and the Greek letter fold to the same character
    "μv": 1.0,
    "microvolt": 1.0,
    "microvolts": 1.0,
    "nv": 1e-3,
    "nanovolt": 1e-3,
    "nanovolts": 1e-3,
}


def find_microvolts_per(unit: str) -> float | None:
    """What one of a unit is worth in µV; None where the unit is no voltage that is known.

    Case does not count: files write ``mV`` and ``mv``, and none means megavolts.
    """
    return _MICROVOLTS_PER.get(unit.strip().strip("[]()").casefold())
