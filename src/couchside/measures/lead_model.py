"""What is measured in each lead: the waves of one beat, the ST level, the isoelectric segments."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from couchside.errors import InvalidInput


class WaveName(StrEnum):
    """A wave of one lead, by the letter that the trade gives it."""

    P = "P"
    Q = "Q"
    R = "R"
    S = "S"
    R_PRIME = "R'"
    S_PRIME = "S'"
    T = "T"


QRS_WAVES = (WaveName.Q, WaveName.R, WaveName.S, WaveName.R_PRIME, WaveName.S_PRIME)


@dataclass(frozen=True, slots=True, kw_only=True)
class LeadWave:
    """One wave in one lead, or the reason why it is not there.

    Parameters
    ----------
    name : WaveName
        Which wave.
    amplitude_uv : float or None
        Height over its reference level, negative downwards; None where there is no such wave.
    duration_ms : float or None
        Given for the waves of QRS alone.
    reason : str
        Why there is no amplitude; empty where there is one.
    """

    name: WaveName
    amplitude_uv: float | None = None
    duration_ms: float | None = None
    reason: str = ""

    def __post_init__(self) -> None:
        if (self.amplitude_uv is None) != bool(self.reason):
            raise InvalidInput(f"{self.name}: give either an amplitude or the reason for none")


@dataclass(frozen=True, slots=True, kw_only=True)
class StLevel:
    """The level so long after J in one lead, or the reason why there is none."""

    after_j_ms: int
    level_uv: float | None = None
    reason: str = ""

    def __post_init__(self) -> None:
        if (self.level_uv is None) != bool(self.reason):
            raise InvalidInput(f"J+{self.after_j_ms}: give either a level or the reason for none")


@dataclass(frozen=True, slots=True, kw_only=True)
class LeadMeasures:
    """Everything measured in one lead of the representative beat.

    Parameters
    ----------
    lead : str
        As in the recording.
    waves : tuple of LeadWave
        Each wave once, in the order of `WaveName`.
    st : tuple of StLevel
        At J, J+20, J+40, J+60 and J+80 ms.
    i_segment_ms, k_segment_ms : float or None
        From the earliest QRS onset of all leads to this lead's own, and from this lead's own end
        to the latest of all leads; they belong to no wave. None where the lead shows no QRS.
    peak_to_peak_uv : float or None
        From the deepest to the highest point of QRS.
    noise_uv : float or None
        What averaging left of the noise, in µV rms; None where a single beat was averaged.
    """

    lead: str
    waves: tuple[LeadWave, ...]
    st: tuple[StLevel, ...]
    i_segment_ms: float | None
    k_segment_ms: float | None
    peak_to_peak_uv: float | None
    noise_uv: float | None

    def get(self, name: WaveName) -> LeadWave:
        """The wave of that name.

        Raises
        ------
        InvalidInput
            If it is not among them.
        """
        for wave in self.waves:
            if wave.name is name:
                return wave
        raise InvalidInput(f"{name} is not among the waves of lead {self.lead}")

    @property
    def is_qs(self) -> bool:
        """Whether QRS is one single deflection downwards, which stands under Q."""
        named = [wave.name for wave in self.waves if wave.amplitude_uv is not None]
        return WaveName.Q in named and WaveName.R not in named
