"""Faults at one electrode: what goes wrong, where, when and how much."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from couchside.errors import InvalidInput
from couchside.recording import Electrode

LARGEST_UV = 1_000_000.0


class FaultKind(StrEnum):
    """What can go wrong at an electrode; in brackets what the amplitude measures."""

    WANDER = "baseline wander"
    """Slow swings with the breath and the skin (peak to peak)."""
    DRIFT = "half-cell drift"
    """The half-cell potential creeps one way (over the span)."""
    DRYING = "drying electrode"
    """Contact gets worse and worse: growing wander, mains and crackle (peak to peak)."""
    MAINS = "mains interference"
    """Pick-up of the mains with harmonics (peak to peak)."""
    MUSCLE = "muscle tremor"
    """Activity of the muscle under the electrode (rms)."""
    LIMB_TREMOR = "limb tremor"
    """A shaking limb, 4 to 6 times a second (peak to peak)."""
    MOVEMENT = "movement"
    """Pulling at the electrode: jumps that settle (peak)."""
    POP = "electrode pop"
    """Sudden steps that die away (peak)."""
    CONTACT_LOOSE = "loose contact"
    """Contact opens for moments: a jump, the room's mains, and a jump back (height of the jump)."""
    CONTACT_FLAT = "lost contact, flat"
    """The recorder sees that the electrode is off and draws its leads flat (no amplitude)."""
    CONTACT_FLOATING = "lost contact, floating"
    """The open input picks up the room and wanders (peak to peak of the mains)."""
    CONTACT_RAIL = "lost contact, at the rail"
    """The open input runs into the end of the recorder's range (no amplitude)."""
    RECORDED = "recorded noise"
    """Noise recorded elsewhere, mixed in at a stated signal-to-noise ratio (no amplitude)."""


LOST_CONTACT = frozenset(
    {FaultKind.CONTACT_FLAT, FaultKind.CONTACT_FLOATING, FaultKind.CONTACT_RAIL}
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One fault at one electrode.

    Parameters
    ----------
    kind : FaultKind
        What.
    electrode : Electrode
        Where, by its place on the body, whichever cable hangs on it. What the right leg adds
        enters no lead, but without its contact all leads are lost.
    amplitude_uv : float
        How much, in µV at the electrode; what it measures stands with each kind.
    start_s : float
        From when.
    end_s : float or None
        Until when; None is the end of the recording.
    frequency_hz : float or None
        For mains and limb tremor; None takes the room's mains, or 5 Hz.
    noise_name : str
        For recorded noise: which.
    snr_db : float
        For recorded noise: variance of the clean leads that carry the electrode at full weight,
        over the variance of the noise, in dB.

    Raises
    ------
    InvalidInput
        If the amplitude is not within 0 … 1 V, the span is empty, or the frequency is not positive.
    """

    kind: FaultKind
    electrode: Electrode
    amplitude_uv: float = 0.0
    start_s: float = 0.0
    end_s: float | None = None
    frequency_hz: float | None = None
    noise_name: str = ""
    snr_db: float = 0.0

    def __post_init__(self) -> None:
        if not 0.0 <= self.amplitude_uv <= LARGEST_UV:
            raise InvalidInput(
                f"{self.kind} of {self.amplitude_uv} µV; give an amplitude from 0 to 1,000,000 µV"
            )
        if self.start_s < 0.0 or (self.end_s is not None and not self.start_s < self.end_s):
            raise InvalidInput(
                f"{self.kind} from {self.start_s} s to {self.end_s} s; it must end after it starts"
            )
        if self.frequency_hz is not None and not self.frequency_hz > 0.0:
            raise InvalidInput(f"{self.kind} at {self.frequency_hz} Hz; give a positive frequency")

    def span(self, sample_count: int, rate_hz: float) -> slice:
        """The samples that it touches."""
        end = sample_count if self.end_s is None else round(self.end_s * rate_hz)
        return slice(min(round(self.start_s * rate_hz), sample_count), min(end, sample_count))
