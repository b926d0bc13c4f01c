"""What the recorder does about a finding: one imperative sentence for each kind and place."""

from __future__ import annotations

from dataclasses import replace

from couchside.quality.model import Finding, FindingKind, Verdict
from couchside.quality.wording import name_electrode, name_electrodes, name_limb
from couchside.recording import CHEST_ELECTRODES, Electrode

_ARMS = (Electrode.RA, Electrode.LA)

_ANYWHERE = {
    FindingKind.MUSCLE_TREMOR: (
        "Make the person warm and comfortable, arms at the sides, and wait ten seconds"
    ),
    FindingKind.MAINS: (
        "Check the right-leg electrode first, then move cables away from mains leads and devices"
    ),
    FindingKind.WANDER: (
        "Let the cables lie loose and ask the person to lie still and breathe quietly"
    ),
    FindingKind.MOVEMENT: "Ask the person to lie still and not to talk, and wait ten seconds",
    FindingKind.POP: "Check every electrode and clip, and let the cables lie loose",
    FindingKind.LOST_CONTACT: (
        "Look at the person, then check that the patient cable is plugged in and that the "
        "right-leg electrode sticks"
    ),
    FindingKind.FLAT: "Check the limb electrodes, their clips and the patient cable",
    FindingKind.SATURATED: "Check the electrodes of these leads, their clips and their cables",
    FindingKind.MISSING_SAMPLES: "Check the patient cable and the connection to the recorder",
}


def word_remedy(kind: FindingKind, electrodes: tuple[Electrode, ...], asks: Verdict) -> str:
    """One imperative sentence; it asks for a repeat only where the finding does.

    Parameters
    ----------
    kind : FindingKind
        What is wrong.
    electrodes : tuple of Electrode
        Where; empty where that cannot be told.
    asks : Verdict
        What the finding asks for.
    """
    action = _choose_action(kind, electrodes)
    if asks == Verdict.RECORD_AGAIN:
        return f"{action}{_AGAIN}"
    return f"{_IF_AGAIN}{action[0].lower()}{action[1:]}."


def ask_for(found: Finding, asks: Verdict) -> Finding:
    """The finding with another thing asked for, and its remedies worded for that."""
    if asks is found.asks:
        return found
    return replace(found, asks=asks, remedy=_word_anew(found.remedy, asks))


def _word_anew(remedy: str, asks: Verdict) -> str:
    if asks is Verdict.RECORD_AGAIN and remedy.startswith(_IF_AGAIN):
        action = remedy.removeprefix(_IF_AGAIN).removesuffix(".")
        return f"{action[0].upper()}{action[1:]}{_AGAIN}"
    if asks is not Verdict.RECORD_AGAIN and remedy.endswith(_AGAIN):
        action = remedy.removesuffix(_AGAIN)
        return f"{_IF_AGAIN}{action[0].lower()}{action[1:]}."
    return remedy


_AGAIN = ", then record again."
_IF_AGAIN = "If you record again, "


def _choose_action(kind: FindingKind, electrodes: tuple[Electrode, ...]) -> str:
    if kind == FindingKind.LOST_CONTACT and set(electrodes) == set(CHEST_ELECTRODES):
        return "Check that the chest cables are plugged in and that the electrodes stick"
    known = electrodes if len(electrodes) <= _MOST_NAMED else ()
    return _act_at(kind, known) if known else _ANYWHERE[kind]


def _act_at(kind: FindingKind, electrodes: tuple[Electrode, ...]) -> str:
    where = name_electrodes(electrodes)
    one = len(electrodes) == 1
    fresh = "a fresh one" if one else "fresh ones"
    if kind == FindingKind.MUSCLE_TREMOR:
        return _relax(electrodes[0]) if one else _ANYWHERE[kind]
    if kind == FindingKind.MOVEMENT:
        return f"Let the {where} and {'its cable' if one else 'their cables'} lie still and loose"
    if kind == FindingKind.MAINS:
        return (
            f"Clean and dry the skin under the {where}, put on {fresh} and keep "
            f"{'its cable' if one else 'their cables'} off mains leads"
        )
    if kind == FindingKind.WANDER:
        return (
            f"Clean the skin under the {where}, put on {fresh} and let "
            f"{'its cable' if one else 'their cables'} lie loose"
        )
    if kind == FindingKind.POP:
        return f"Clean and dry the skin under the {where}, put on {fresh} and check the clip"
    loose = "it is loose" if one else "any is loose"
    return f"Press the {where} down, check the clip, and put on {fresh} if {loose}"


def _relax(electrode: Electrode) -> str:
    if electrode in CHEST_ELECTRODES:
        return (
            f"Check that the {name_electrode(electrode)} sticks, let the person lie back with "
            "the shoulders down, and wait ten seconds"
        )
    part = "hand" if electrode in _ARMS else "foot"
    return f"Rest the {name_limb(electrode)} on the couch with the {part} relaxed, wait ten seconds"


_MOST_NAMED = 4
