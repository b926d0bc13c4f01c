"""One declarative object that says all about a simulated recording."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from types import MappingProxyType

from couchside.errors import InvalidInput
from couchside.recording import Device, OrderReference, Patient, Placement
from couchside.simulate.cables import CORRECT, Cables, check_cables
from couchside.simulate.electrodes.faults import Fault
from couchside.simulate.heart.state import Body, HeartState
from couchside.simulate.recorder import Recorder


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """Where the recording is taken."""

    mains_hz: float = 50.0
    breath_per_min: float = 14.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Scenario:
    """A simulated recording, whole: whose heart, how recorded, and what goes wrong.

    Parameters
    ----------
    name : str
        Short, for files and commands, such as ``"loose-left-arm"``.
    title : str
        What it shows, in a few words.
    seed : int
        The same seed gives the same recording, byte for byte.
    body : Body
        Whose heart.
    state : HeartState
        How it beats.
    patient : Patient
        What the recording states about the person, which may be incomplete.
    start : datetime or None
        When, as stated.
    duration_s : float
        1 to 3600 s.
    placement : Placement
        As stated.
    faults : tuple of Fault
        What goes wrong at which electrode.
    cables : mapping of Electrode to Electrode
        Displaced cables and the electrode that each hangs on.
    recorder, room, device, order
        How, where, with what and for what it was recorded.
    """

    name: str
    title: str
    seed: int
    body: Body
    state: HeartState = HeartState()
    patient: Patient = Patient()
    start: datetime | None = None
    duration_s: float = 10.0
    placement: Placement = Placement.STANDARD
    faults: tuple[Fault, ...] = ()
    cables: Cables = field(default_factory=lambda: CORRECT)
    recorder: Recorder = Recorder()
    room: Room = Room()
    device: Device = Device()
    order: OrderReference = OrderReference()

    def __post_init__(self) -> None:
        if self.seed < 0:
            raise InvalidInput(f"a seed of {self.seed} is negative; give 0 or more")
        if not 1.0 <= self.duration_s <= 3600.0:
            raise InvalidInput(f"a length of {self.duration_s} s is not between 1 s and an hour")
        check_cables(self.cables)
        object.__setattr__(self, "cables", MappingProxyType(dict(self.cables)))
