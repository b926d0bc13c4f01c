"""The electrodes of a resting ECG, and the two codes by which their cables are labelled."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Electrode(StrEnum):
    """An electrode by its place on the body; C is a chest electrode."""

    RA = "RA"
    LA = "LA"
    LL = "LL"
    RL = "RL"
    C1 = "C1"
    C2 = "C2"
    C3 = "C3"
    C4 = "C4"
    C5 = "C5"
    C6 = "C6"


LIMB_ELECTRODES = (Electrode.RA, Electrode.LA, Electrode.LL, Electrode.RL)
CHEST_ELECTRODES = (
    Electrode.C1,
    Electrode.C2,
    Electrode.C3,
    Electrode.C4,
    Electrode.C5,
    Electrode.C6,
)
ELECTRODES = LIMB_ELECTRODES + CHEST_ELECTRODES

SITES = {
    Electrode.RA: "right arm",
    Electrode.LA: "left arm",
    Electrode.LL: "left leg",
    Electrode.RL: "right leg",
    Electrode.C1: "fourth space, right edge of the breastbone",
    Electrode.C2: "fourth space, left edge of the breastbone",
    Electrode.C3: "midway between V2 and V4",
    Electrode.C4: "fifth space, mid-clavicular line",
    Electrode.C5: "level with V4, anterior axillary line",
    Electrode.C6: "level with V4, mid-axillary line",
}
"""Where each electrode belongs [AHA2007-I]."""


class ColourCode(StrEnum):
    """The two codes of labels and colours in use."""

    IEC = "IEC"
    AHA = "AHA"


@dataclass(frozen=True, slots=True, kw_only=True)
class CableMark:
    """What is written on a cable and the colours it bears."""

    label: str
    colours: tuple[str, ...]


CABLE_MARKS: dict[ColourCode, dict[Electrode, CableMark]] = {
    ColourCode.IEC: {
        Electrode.RA: CableMark(label="R", colours=("red",)),
        Electrode.LA: CableMark(label="L", colours=("yellow",)),
        Electrode.LL: CableMark(label="F", colours=("green",)),
        Electrode.RL: CableMark(label="N", colours=("black",)),
        Electrode.C1: CableMark(label="C1", colours=("white", "red")),
        Electrode.C2: CableMark(label="C2", colours=("white", "yellow")),
        Electrode.C3: CableMark(label="C3", colours=("white", "green")),
        Electrode.C4: CableMark(label="C4", colours=("white", "brown")),
        Electrode.C5: CableMark(label="C5", colours=("white", "black")),
        Electrode.C6: CableMark(label="C6", colours=("white", "violet")),
    },
    ColourCode.AHA: {
        Electrode.RA: CableMark(label="RA", colours=("white",)),
        Electrode.LA: CableMark(label="LA", colours=("black",)),
        Electrode.LL: CableMark(label="LL", colours=("red",)),
        Electrode.RL: CableMark(label="RL", colours=("green",)),
        Electrode.C1: CableMark(label="V1", colours=("brown", "red")),
        Electrode.C2: CableMark(label="V2", colours=("brown", "yellow")),
        Electrode.C3: CableMark(label="V3", colours=("brown", "green")),
        Electrode.C4: CableMark(label="V4", colours=("brown", "blue")),
        Electrode.C5: CableMark(label="V5", colours=("brown", "orange")),
        Electrode.C6: CableMark(label="V6", colours=("brown", "violet")),
    },
}
"""Labels and colours by code [IEC60601-2-25, from memory; limb colours agree with two public
pages]."""


def describe_electrode(electrode: Electrode, code: ColourCode = ColourCode.IEC) -> str:
    """Name an electrode so that a hand finds it: ``"left arm (L, yellow)"``."""
    mark = CABLE_MARKS[code][electrode]
    place = SITES[electrode] if electrode in LIMB_ELECTRODES else f"V{electrode.value[1]}"
    colours = "–".join(mark.colours)
    return f"{place} ({colours})" if mark.label == place else f"{place} ({mark.label}, {colours})"
