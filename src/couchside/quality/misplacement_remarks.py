"""What is said of electrodes that may sit beside their place."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from couchside.quality.displacement import Displacement
from couchside.quality.model import Finding, FindingKind, Hidden, Reading, Verdict
from couchside.recording import CHEST_ELECTRODES, CHEST_LEADS, LIMB_LEADS, Electrode

CONFIDENCE, CONFIDENCE_BY_CHANGE = 0.4, 0.6
"""By design, modest: most electrodes that are told are in place, see docs/validation.md."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """The parts of a remark.

    Parameters
    ----------
    electrodes, leads : tuple
        Those concerned.
    who, place : str
        Which electrodes, and where they may sit: "be an interspace or two too high".
    shows : str
        What in the tracing shows it.
    place_since : str
        The same against an earlier recording: "sit higher".
    remedy : str
        What to check.
    """

    electrodes: tuple[Electrode, ...]
    leads: tuple[str, ...]
    who: str
    place: str
    shows: str
    place_since: str
    remedy: str


def write_remark(displacement: Displacement, when: str = "") -> Finding:
    """The finding; with `when`, told by how the leads changed since that recording."""
    words = _WORDS[displacement]
    waves = (Reading.QRS, Reading.ST_LEVEL, Reading.T_WAVE, Reading.P_WAVE)
    axes = (Reading.AXIS, Reading.P_AXIS) if displacement is Displacement.TORSO else ()
    return Finding(
        kind=FindingKind.MISPLACED,
        asks=Verdict.KEEP_WITH_REMARK,
        sentence=(
            f"{words.who} may {words.place_since} than in the recording {when}: the leads changed "
            "as that would change them."
            if when
            else f"{words.who} may {words.place}: {words.shows}, and put back the recording looks "
            "more like usual ones."
        ),
        remedy=words.remedy,
        confidence=CONFIDENCE_BY_CHANGE if when else CONFIDENCE,
        electrodes=words.electrodes,
        leads=words.leads,
        hides=(
            *(Hidden(what=each) for each in axes),
            *(Hidden(what=each, leads=words.leads) for each in waves),
        ),
    )


_MOVE = "if they are elsewhere and the person is still there, move them and record again."
_CHECK_ROW = (
    "Check the place of V3 to V6: V4 in the fifth intercostal space below the middle of the collar "
    "bone, V5 and V6 straight to the side of it at the same height, at the front and in the middle "
    f"of the armpit, V3 between V2 and V4; {_MOVE}"
)
_ROW = CHEST_ELECTRODES[2:]
_ROW_LEADS = tuple(map(str, CHEST_LEADS[2:]))
_WORDS: Mapping[Displacement, Words] = {
    Displacement.HIGH: Words(
        electrodes=(Electrode.C1, Electrode.C2),
        leads=("V1", "V2"),
        who="V1 and V2",
        place="be an interspace or two too high",
        shows="P is wholly negative in V1",
        place_since="sit higher",
        remedy=(
            "Check the place of V1 and V2: fourth intercostal space, at the right and the left "
            f"edge of the breastbone; {_MOVE}"
        ),
    ),
    Displacement.LOW_ROW: Words(
        electrodes=_ROW,
        leads=_ROW_LEADS,
        who="V3 to V6",
        place="be too low",
        shows="R is higher in V6 than in V4",
        place_since="sit lower",
        remedy=_CHECK_ROW,
    ),
    Displacement.LATERAL_ROW: Words(
        electrodes=_ROW,
        leads=_ROW_LEADS,
        who="V3 to V6",
        place="be too far to the side",
        shows="R is lower in V6 than in V4",
        place_since="sit farther to the side",
        remedy=_CHECK_ROW,
    ),
    Displacement.TORSO: Words(
        electrodes=(Electrode.RA, Electrode.LA, Electrode.LL),
        leads=tuple(map(str, LIMB_LEADS)),
        who="The limb electrodes",
        place="be on the torso",
        shows="P and QRS point downwards, and R is small in I and aVL",
        place_since="sit nearer the heart",
        remedy=(
            "Check that the limb electrodes are on the limbs; if they must be on the torso, state "
            "that placement."
        ),
    ),
}
"""High V1 and V2 make r′, ST elevation and inverted T that are not the heart's [Walsh2018]; limb
electrodes on the torso make and unmake signs of infarction [Jowett2005]."""
