"""What an electrode adds to the potential of the skin under it."""

from couchside.simulate.electrodes.background import background_uv
from couchside.simulate.electrodes.faults import Fault, FaultKind, fault_uv

__all__ = ["Fault", "FaultKind", "background_uv", "fault_uv"]
