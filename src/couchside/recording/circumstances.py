"""How a recording was taken, beside its samples, in the words of whoever took it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum

from couchside.recording.electrodes import ELECTRODES, Electrode
from couchside.recording.placements import Placement
from couchside.recording.recording import Recording


class Position(StrEnum):
    """How the person lay or sat; axis and voltages change with it (common practice)."""

    NOT_STATED = "not stated"
    SUPINE = "supine"
    SEMI_RECUMBENT = "semi-recumbent"
    SITTING = "sitting"
    OTHER = "another position"


@dataclass(frozen=True, slots=True, kw_only=True)
class Circumstances:
    """What a reader should know of how a recording was taken; empty means not stated.

    Parameters
    ----------
    placement : Placement
        Where the electrodes were, as a whole; every deviation must be on the page [Jowett2005].
    electrodes : mapping of Electrode to str
        Where single electrodes were instead of where they belong.
    position : Position
        How the person lay or sat.
    symptoms : str
        What the person felt at that time.
    conditions : str
        What else bears on it, such as tremor, an amputation, a paced rhythm, after exercise.
    remark : str
        Anything else.
    """

    placement: Placement = Placement.NOT_STATED
    electrodes: Mapping[Electrode, str] = field(default_factory=dict)
    position: Position = Position.NOT_STATED
    symptoms: str = ""
    conditions: str = ""
    remark: str = ""


def describe_circumstances(words: Circumstances) -> tuple[str, ...]:
    """One line for each thing that is stated; the placement stands elsewhere on a page."""
    moved = "; ".join(
        f"{each} {words.electrodes[each]}" for each in ELECTRODES if words.electrodes.get(each)
    )
    stated = {
        "Electrodes moved": moved,
        "Position": "" if words.position is Position.NOT_STATED else words.position.value,
        "Symptoms": words.symptoms,
        "Conditions": words.conditions,
        "Remark": words.remark,
    }
    return tuple(f"{name}: {value}" for name, value in stated.items() if value)


def add_circumstances(recording: Recording, words: Circumstances) -> Recording:
    """The recording with what a person wrote, for a page or a file that leaves the house.

    A placement that a person states takes the place of the file's; all else is added as remarks,
    after those that came with the file.
    """
    placed = words.placement is not Placement.NOT_STATED
    return replace(
        recording,
        placement=words.placement if placed else recording.placement,
        remarks=(*recording.remarks, *describe_circumstances(words)),
    )
