"""One declarative object that says all about a simulated recording."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from types import MappingProxyType

from couchside.errors import InvalidInput
from couchside.recording import Device, OrderReference, Patient, Placement
from couchside.simulate.cables import CORRECT, Cables, check_cables
from couchside.simulate.electrodes import Contact, Fault
from couchside.simulate.heart.state import Body, HeartState
from couchside.simulate.recorder import Recorder
from couchside.simulate.torso import ElectrodeShift


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """Where the recording is taken, and how calm it is there.

    Parameters
    ----------
    mains_hz : float
        About 50 or 60 Hz; it need not be exactly nominal.
    wire_current_na : float
        Displacement current that the room drives into each wire; 0.25 nA is a good room.
    breath_per_min : float
        Breaths of the person per minute.
    restlessness : float
        1 is a person at rest; larger is tenser; 0 is a heart without any noise but the contacts'.
    """

    mains_hz: float = 50.0
    wire_current_na: float = 0.25
    breath_per_min: float = 14.0
    restlessness: float = 1.0

    def __post_init__(self) -> None:
        if not (0.0 < self.mains_hz < 500.0 and 0.0 < self.breath_per_min < 120.0):
            raise InvalidInput(
                f"mains of {self.mains_hz} Hz and {self.breath_per_min} breaths a minute; "
                "give positive numbers below 500 and 120"
            )
        if self.wire_current_na < 0.0 or self.restlessness < 0.0:
            raise InvalidInput("a wire current or restlessness is negative; give 0 or more")


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
        The same seed gives the same recording, byte for byte; another seed is another day.
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
        Where the electrodes are, as the recording states it.
    placed_as : Placement or None
        Where they really are; None where what is stated is true.
    shifts : tuple of ElectrodeShift
        Electrodes beside their place.
    placing_error_cm : float
        How exactly the hand finds the chest sites (standard deviation).
    contacts : tuple of Contact
        Electrodes whose contact is not as usual.
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
    placed_as: Placement | None = None
    shifts: tuple[ElectrodeShift, ...] = ()
    placing_error_cm: float = 0.4
    contacts: tuple[Contact, ...] = ()
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
        if not 0.0 <= self.placing_error_cm <= 10.0:
            raise InvalidInput(f"a placing error of {self.placing_error_cm} cm is not in 0 … 10 cm")
        check_cables(self.cables)
        object.__setattr__(self, "cables", MappingProxyType(dict(self.cables)))

    @property
    def true_placement(self) -> Placement:
        """Where the electrodes really are."""
        return self.placement if self.placed_as is None else self.placed_as
