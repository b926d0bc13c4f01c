"""The names of leads, and which of them go together."""

from __future__ import annotations

from enum import StrEnum


class Lead(StrEnum):
    """A lead that has a name in the trade; a member equals its plain string."""

    I = "I"  # noqa: E741
    II = "II"
    III = "III"
    AVR = "aVR"
    AVL = "aVL"
    AVF = "aVF"
    V1 = "V1"
    V2 = "V2"
    V3 = "V3"
    V4 = "V4"
    V5 = "V5"
    V6 = "V6"
    V7 = "V7"
    V8 = "V8"
    V9 = "V9"
    V2R = "V2R"
    V3R = "V3R"
    V4R = "V4R"
    V5R = "V5R"
    V6R = "V6R"
    V7R = "V7R"
    X = "X"
    Y = "Y"
    Z = "Z"


LIMB_LEADS = (Lead.I, Lead.II, Lead.III, Lead.AVR, Lead.AVL, Lead.AVF)
CHEST_LEADS = (Lead.V1, Lead.V2, Lead.V3, Lead.V4, Lead.V5, Lead.V6)
STANDARD_LEADS = LIMB_LEADS + CHEST_LEADS
INDEPENDENT_LEADS = (Lead.I, Lead.II, *CHEST_LEADS)
CABRERA_LIMB_LEADS = (Lead.AVL, Lead.I, Lead.AVR, Lead.II, Lead.AVF, Lead.III)
"""Cabrera order; aVR is drawn inverted, as −aVR, when the limb leads stand in this order."""

LIMB_LEAD_ANGLES_DEG = {
    Lead.I: 0.0,
    Lead.II: 60.0,
    Lead.III: 120.0,
    Lead.AVR: -150.0,
    Lead.AVL: -30.0,
    Lead.AVF: 90.0,
}
"""Frontal-plane direction of each limb lead [AHA2007-I]."""

_BY_FOLDED_NAME = {lead.value.casefold(): lead for lead in Lead} | {
    "vx": Lead.X,
    "vy": Lead.Y,
    "vz": Lead.Z,
    "c1": Lead.V1,
    "c2": Lead.V2,
    "c3": Lead.V3,
    "c4": Lead.V4,
    "c5": Lead.V5,
    "c6": Lead.V6,
}


def canonical_lead_name(name: str) -> str:
    """Spell a lead's name as the trade does.

    Parameters
    ----------
    name : str
        As a file spells it: ``"AVR"``, ``"lead ii"``, ``"ECG V1"``, ``"MLII"``.

    Returns
    -------
    str
        The member of `Lead` where the name is one; else the name itself, stripped.
    """
    stripped = name.strip()
    folded = stripped.casefold()
    for prefix in ("lead ", "ecg ", "lead_"):
        folded = folded.removeprefix(prefix)
    return str(_BY_FOLDED_NAME.get(folded.strip(), stripped))
