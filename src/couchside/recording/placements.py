"""Where the ten electrodes were put, as a whole."""

from __future__ import annotations

from enum import StrEnum


class Placement(StrEnum):
    """A named arrangement of the electrodes on the body."""

    NOT_STATED = "not stated"
    STANDARD = "standard"
    TORSO = "limb electrodes on the torso"
    RIGHT_SIDED = "right-sided chest leads"
    POSTERIOR = "posterior chest leads"
    HIGH = "V1 and V2 one interspace higher"
    PAEDIATRIC = "paediatric"

    @property
    def needs_a_banner(self) -> bool:
        """Whether the reader must be told on the page; every deviation must [Jowett2005]."""
        return self not in {Placement.NOT_STATED, Placement.STANDARD}


CHEST_LEADS_AS_PLACED: dict[Placement, tuple[str, ...]] = {
    Placement.STANDARD: ("V1", "V2", "V3", "V4", "V5", "V6"),
    Placement.TORSO: ("V1", "V2", "V3", "V4", "V5", "V6"),
    Placement.RIGHT_SIDED: ("V1", "V2", "V3R", "V4R", "V5R", "V6R"),
    Placement.POSTERIOR: ("V1", "V2", "V3", "V7", "V8", "V9"),
    Placement.HIGH: ("V1", "V2", "V3", "V4", "V5", "V6"),
    Placement.PAEDIATRIC: ("V1", "V2", "V4R", "V4", "V5", "V6"),
}
"""What the six chest cables C1–C6 record under each placement (common practice; which cables are
moved differs between departments, so local protocol decides)."""
