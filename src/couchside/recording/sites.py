"""Where each electrode goes, and how a hand finds the place."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from couchside.recording.electrodes import LIMB_ELECTRODES, Electrode
from couchside.recording.placements import CHEST_LEADS_AS_PLACED, Placement


class Site(StrEnum):
    """A place on the body; on the chest it bears the name of the lead that is recorded there."""

    RIGHT_WRIST = "right wrist"
    LEFT_WRIST = "left wrist"
    LEFT_ANKLE = "left ankle"
    RIGHT_ANKLE = "right ankle"
    RIGHT_COLLARBONE = "below the right collarbone"
    LEFT_COLLARBONE = "below the left collarbone"
    LEFT_FLANK = "left flank"
    RIGHT_FLANK = "right flank"
    V1 = "V1"
    V2 = "V2"
    V3 = "V3"
    V4 = "V4"
    V5 = "V5"
    V6 = "V6"
    V3R = "V3R"
    V4R = "V4R"
    V5R = "V5R"
    V6R = "V6R"
    V7 = "V7"
    V8 = "V8"
    V9 = "V9"
    HIGH_V1 = "V1 one space higher"
    HIGH_V2 = "V2 one space higher"


class Trust(StrEnum):
    """How a statement was checked."""

    READ = "abstract read"
    MEMORY = "from memory"


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteFacts:
    """Where a site is, how it is found, and who says so.

    Parameters
    ----------
    where : str
        The place in one sentence.
    find : str
        What the hand does to find it; empty where the place says it.
    source : str
        Key in ``docs/references.md``, or ``common practice``.
    trust : Trust
        Whether the source was read.
    """

    where: str
    find: str = ""
    source: str = "AHA2007-I"
    trust: Trust = Trust.MEMORY


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacementNote:
    """One sentence that goes with a placement, and who says so."""

    words: str
    source: str = "common practice"
    trust: Trust = Trust.MEMORY


_PRACTICE = "common practice"

SITE_FACTS: dict[Site, SiteFacts] = {
    Site.RIGHT_WRIST: SiteFacts(
        where="Inner side of the right forearm, just above the wrist.",
        find="On flesh, not on bone; both arms alike.",
    ),
    Site.LEFT_WRIST: SiteFacts(
        where="Inner side of the left forearm, just above the wrist.",
        find="On flesh, not on bone; both arms alike.",
    ),
    Site.LEFT_ANKLE: SiteFacts(where="Left lower leg, just above the ankle."),
    Site.RIGHT_ANKLE: SiteFacts(
        where="Right lower leg, just above the ankle.", find="This one is the reference."
    ),
    Site.RIGHT_COLLARBONE: SiteFacts(
        where="In the hollow below the right collarbone, near the shoulder.",
        find="Two centimetres below the edge of the bone, inside the shoulder muscle.",
        source="MasonLikar1966",
    ),
    Site.LEFT_COLLARBONE: SiteFacts(
        where="In the hollow below the left collarbone, near the shoulder.",
        find="Two centimetres below the edge of the bone, inside the shoulder muscle.",
        source="MasonLikar1966",
    ),
    Site.LEFT_FLANK: SiteFacts(
        where="Left flank, on the line down from the front fold of the armpit.",
        find="Halfway between the last rib and the top of the hip bone.",
        source="MasonLikar1966",
    ),
    Site.RIGHT_FLANK: SiteFacts(
        where="Right flank, on the line down from the front fold of the armpit.",
        find="Halfway between the last rib and the top of the hip bone.",
        source="MasonLikar1966",
    ),
    Site.V1: SiteFacts(
        where="Fourth space between the ribs, right edge of the breastbone.",
        find="Feel for the ridge on the breastbone; the second rib joins it there. "
        "The space below that rib is the second; count down to the fourth.",
    ),
    Site.V2: SiteFacts(
        where="Fourth space between the ribs, left edge of the breastbone.",
        find="Straight across from V1. Count again on this side.",
    ),
    Site.V3: SiteFacts(
        where="Halfway between V2 and V4.",
        find="Place V4 first.",
    ),
    Site.V4: SiteFacts(
        where="Fifth space between the ribs, below the middle of the left collarbone.",
        find="One space below V2. Measure the middle of the collarbone; do not go by the nipple.",
    ),
    Site.V5: SiteFacts(
        where="Level with V4, below the front fold of the left armpit.",
        find="Straight back from V4; do not follow the rib.",
    ),
    Site.V6: SiteFacts(
        where="Level with V4, below the middle of the left armpit.",
        find="Straight back from V5; do not follow the rib.",
    ),
    Site.V3R: SiteFacts(
        where="Halfway between V1 and V4R.",
        find="Place V4R first.",
        source=_PRACTICE,
    ),
    Site.V4R: SiteFacts(
        where="Fifth space between the ribs, below the middle of the right collarbone.",
        find="The mirror image of V4: one space below V1.",
        source=_PRACTICE,
    ),
    Site.V5R: SiteFacts(
        where="Level with V4R, below the front fold of the right armpit.",
        find="The mirror image of V5.",
        source=_PRACTICE,
    ),
    Site.V6R: SiteFacts(
        where="Level with V4R, below the middle of the right armpit.",
        find="The mirror image of V6.",
        source=_PRACTICE,
    ),
    Site.V7: SiteFacts(
        where="Level with V6, below the back fold of the left armpit.",
        find="Find the level of V4 in the fifth space first, and keep it round to the back.",
        source=_PRACTICE,
    ),
    Site.V8: SiteFacts(
        where="Same level, below the tip of the left shoulder blade.",
        find="Arms relaxed, so that the blade lies where it rests.",
        source=_PRACTICE,
    ),
    Site.V9: SiteFacts(
        where="Same level, left edge of the spine.",
        find="Beside the muscle along the spine, not on it.",
        source=_PRACTICE,
    ),
    Site.HIGH_V1: SiteFacts(
        where="Third space between the ribs, right edge of the breastbone.",
        find="One space above the place of V1.",
        source=_PRACTICE,
    ),
    Site.HIGH_V2: SiteFacts(
        where="Third space between the ribs, left edge of the breastbone.",
        find="One space above the place of V2.",
        source=_PRACTICE,
    ),
}
"""Places by recommendation [AHA2007-I], [MasonLikar1966] and common practice; none of the texts
was opened, so local protocol goes first."""

_MUST_BE_WRITTEN = "Write it down: the reader must be told on the page."
_STANDARD_FIRST = PlacementNote(words="Record the standard twelve leads first.")
_WRITTEN = PlacementNote(words=_MUST_BE_WRITTEN, source="Jowett2005", trust=Trust.READ)

PLACEMENT_NOTES: dict[Placement, tuple[PlacementNote, ...]] = {
    Placement.STANDARD: (
        PlacementNote(words="In women V4, V5 and V6 go under the breast.", source="AHA2007-I"),
        PlacementNote(words="Where a limb cannot be used, go further up it, both sides alike."),
        PlacementNote(
            words="Write down whatever deviates: the reader must be told on the page.",
            source="Jowett2005",
            trust=Trust.READ,
        ),
    ),
    Placement.RIGHT_SIDED: (
        _STANDARD_FIRST,
        PlacementNote(words="Limb electrodes, V1 and V2 stay where they are."),
        PlacementNote(words="With the heart on the right, some protocols exchange V1 and V2 too."),
        _WRITTEN,
    ),
    Placement.POSTERIOR: (
        _STANDARD_FIRST,
        PlacementNote(words="Limb electrodes and V1 to V3 stay where they are."),
        PlacementNote(words="The person sits up for a moment; then lies back without pulling."),
        _WRITTEN,
    ),
    Placement.PAEDIATRIC: (
        PlacementNote(words="V4R takes the cable of V3. Where V3 is wanted too, record twice."),
        PlacementNote(words="Small electrodes; none may touch its neighbour."),
        _WRITTEN,
    ),
    Placement.TORSO: (
        PlacementNote(words="Only where the limbs cannot be used or will not keep still."),
        PlacementNote(
            words="It turns the axis and changes the voltages.",
            source="Papouchado1987",
            trust=Trust.READ,
        ),
        _WRITTEN,
    ),
    Placement.HIGH: (PlacementNote(words="Only where the protocol asks for it."), _WRITTEN),
}
"""What goes with a placement."""

_LIMB_SITES = (Site.RIGHT_WRIST, Site.LEFT_WRIST, Site.LEFT_ANKLE, Site.RIGHT_ANKLE)
_TORSO_SITES = (
    Site.RIGHT_COLLARBONE,
    Site.LEFT_COLLARBONE,
    Site.LEFT_FLANK,
    Site.RIGHT_FLANK,
)
_HIGH_SITES = {"V1": Site.HIGH_V1, "V2": Site.HIGH_V2}


def list_sites(placement: Placement) -> dict[Electrode, Site]:
    """Where each of the ten electrodes goes under a placement, limbs first.

    Parameters
    ----------
    placement : Placement
        One that is stated.

    Returns
    -------
    dict of Electrode to Site
        Empty for `Placement.NOT_STATED`.
    """
    if placement is Placement.NOT_STATED:
        return {}
    limbs = _TORSO_SITES if placement is Placement.TORSO else _LIMB_SITES
    leads = CHEST_LEADS_AS_PLACED[placement]
    renamed = _HIGH_SITES if placement is Placement.HIGH else {}
    chest = {
        Electrode(f"C{number}"): renamed.get(lead, Site(lead))
        for number, lead in enumerate(leads, start=1)
    }
    return dict(zip(LIMB_ELECTRODES, limbs, strict=True)) | chest
