"""What the electrodes add to the potential of the skin under them."""

from couchside.simulate.electrodes.contact import Contact
from couchside.simulate.electrodes.faults import LOST_CONTACT, Fault, FaultKind
from couchside.simulate.electrodes.recorded import (
    NO_RECORDED_NOISE,
    RecordedNoise,
    RecordedNoises,
)

__all__ = [
    "LOST_CONTACT",
    "NO_RECORDED_NOISE",
    "Contact",
    "Fault",
    "FaultKind",
    "RecordedNoise",
    "RecordedNoises",
]
