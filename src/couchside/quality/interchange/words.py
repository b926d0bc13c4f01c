"""Exchanges in the recorder's words: which cables, what shows it, what to do."""

from __future__ import annotations

import numpy as np

from couchside.quality.interchange.arrangements import (
    RECORDED_ELECTRODES,
    Arrangement,
    ArrangementGroup,
    find_code_mixed_up,
)
from couchside.quality.interchange.features import (
    P_PLACES,
    QRS_PLACES,
    BeatFeatures,
)
from couchside.quality.interchange.signatures import find_copied_chest_lead, find_flat_lead
from couchside.quality.interchange.undoing import undoing_matrix
from couchside.quality.wording import join_words, name_electrode
from couchside.recording import CHEST_ELECTRODES, ELECTRODES, Electrode

_WAVES = {
    "P": slice(0, P_PLACES),
    "QRS": slice(P_PLACES, P_PLACES + QRS_PLACES),
    "T": slice(P_PLACES + QRS_PLACES, None),
}
_RA, _LA, _LL = RECORDED_ELECTRODES[:3]
_BETWEEN = {"I": (_LA, _RA), "II": (_LL, _RA), "III": (_LL, _LA)}


def name_cables(electrodes: tuple[Electrode, ...]) -> str:
    """Name them as "right-arm and left-arm cables"."""
    in_order = [each for each in ELECTRODES if each in electrodes]
    names = (name_electrode(each).removesuffix(" electrode") for each in in_order)
    return f"{join_words(names)} cables"


def name_arrangement(arrangement: Arrangement) -> str:
    """Say how the cables hang, in the middle of a sentence.

    Two cables that hang on each other's electrodes are "exchanged"; with more of them, it is said
    which hangs where.
    """
    if not arrangement.cables:
        return "all cables in place"
    if arrangement.group is ArrangementGroup.CHEST_ROW:
        return f"the chest cables hung {_row_order(arrangement)}"
    if len(arrangement.cables) == 2:
        return f"the {name_cables(arrangement.displaced)} exchanged"
    return join_words(
        f"the {name_electrode(cable).removesuffix(' electrode')} cable on the {_place(site)}"
        for cable, site in arrangement.cables.items()
    )


def say_arrangement(arrangement: Arrangement) -> str:
    """Open the finding's sentence: what seems to hang where."""
    if arrangement.group is ArrangementGroup.CHEST_ROW:
        return f"The chest cables seem to hang {_row_order(arrangement)}"
    if len(arrangement.cables) == 2:
        return f"The {name_cables(arrangement.displaced)} seem to be exchanged"
    code = find_code_mixed_up(arrangement)
    as_if = f", as by the colours of the {code} code" if code else ""
    told = name_arrangement(arrangement)
    return f"The limb cables seem to be mixed up{as_if}, {told}"


def say_evidence(arrangement: Arrangement, features: BeatFeatures) -> str:
    """Say what in the tracing shows it."""
    flat, copied = find_flat_lead(arrangement), find_copied_chest_lead(arrangement)
    if flat is not None:
        return f"lead {flat} is almost flat and the other limb leads are copies of each other"
    if copied is not None:
        return f"lead {copied} is a copy of aVF"
    if arrangement.group in (ArrangementGroup.CHEST_PAIR, ArrangementGroup.CHEST_ROW):
        leads = [f"V{each.value[1]}" for each in arrangement.displaced]
        return (
            "P, QRS and T grow and turn from V1 to V6 as they do in usual hearts only with "
            f"{join_words(leads)} put back in order"
        )
    turned = _find_turned(arrangement, features)
    if turned is not None:
        lead, waves = turned
        be = "is" if len(waves) == 1 else "are"
        chest = " and the chest leads are not" if arrangement.group in _CHEST_UNTOUCHED else ""
        return f"{join_words(waves)} {be} upside down in lead {lead}{chest}"
    return "put back in order, the limb leads go with the chest leads as in usual hearts"


_CHEST_UNTOUCHED = {ArrangementGroup.LIMB, ArrangementGroup.LEFT_ARM_LEFT_LEG}


def _find_turned(arrangement: Arrangement, features: BeatFeatures) -> tuple[str, list[str]] | None:
    """The limb lead in which most waves turn round when put right, and these waves."""
    recorded = features.potentials_uv
    right = undoing_matrix(arrangement) @ recorded
    best: tuple[str, list[str]] | None = None
    for lead, (positive, negative) in _BETWEEN.items():
        row, less = RECORDED_ELECTRODES.index(positive), RECORDED_ELECTRODES.index(negative)
        before, after = (each[row] - each[less] for each in (recorded, right))
        waves = [
            name
            for name, places in _WAVES.items()
            if before[places].sum() < 0.0 < after[places].sum()
        ]
        if waves and (best is None or len(waves) > len(best[1])):
            best = lead, waves
    return best


def may_lie_on_the_right(features: BeatFeatures) -> bool:
    """Whether R is lost along the chest as with a heart on the right side.

    Parameters
    ----------
    features : BeatFeatures
        As recorded.

    Returns
    -------
    bool
        True where the net QRS of V4, V5 and V6 points away from them, and that of V1 does so
        less than any of the three (from memory); with the heart on the left
        side R grows from V1 to V4.
    """
    wilson = np.nanmean(features.potentials_uv[:3], axis=0)
    net = (features.potentials_uv[3:] - wilson)[:, _WAVES["QRS"]].mean(axis=1)
    left = net[3:][np.isfinite(net[3:])]
    return bool((left < 0.0).all() and not (left >= net[0]).any())


def is_turned_to_the_right(features: BeatFeatures) -> bool:
    """Whether P and QRS both point away from lead I.

    Parameters
    ----------
    features : BeatFeatures
        As recorded.

    Returns
    -------
    bool
        True as with exchanged arms or with the heart on the right side (from memory); False
        without P.
    """
    first = features.potentials_uv[1] - features.potentials_uv[0]
    return features.has_p and all(first[_WAVES[wave]].sum() < 0.0 for wave in ("P", "QRS"))


def _row_order(arrangement: Arrangement) -> str:
    first = arrangement.cables[CHEST_ELECTRODES[0]]
    if first is CHEST_ELECTRODES[1]:
        return "one place too far, V1 on V2 and so on, and V6 on V1"
    if arrangement.cables[CHEST_ELECTRODES[1]] is CHEST_ELECTRODES[0]:
        return "one place short, V2 on V1 and so on, and V1 on V6"
    return "in the reverse order"


def _place(site: Electrode) -> str:
    return name_electrode(site).removesuffix(" electrode").replace("-", " ")
