"""What the recorder does about a finding: imperative sentences in the order in which to try them.

The order is common practice: first what takes a moment and touches nobody's skin (the clip, the
cable, a rested limb, ten seconds), then the skin, then a new electrode.
"""

from __future__ import annotations

from dataclasses import replace

from couchside.quality.model import Finding, FindingKind, Verdict
from couchside.quality.wording import name_electrode, name_electrodes, name_limb
from couchside.recording import CHEST_ELECTRODES, Electrode

_ARMS = (Electrode.RA, Electrode.LA)
_WARM = "Warm the person with a blanket"
_STILL = "Ask the person to lie still and not to talk, and wait ten seconds"
_MAINS_AROUND = "Move all cables away from mains leads and devices, and unplug what is not needed"
_ANOTHER_CABLE = "Try another patient cable"

_ANYWHERE: dict[FindingKind, tuple[str, ...]] = {
    FindingKind.MUSCLE_TREMOR: (
        "Make the person warm and comfortable, arms at the sides, and wait ten seconds",
        "Support both arms and the knees with pillows",
    ),
    FindingKind.LIMB_TREMOR: (
        "Support the shaking limbs with pillows and wait ten seconds",
        "Move the limb electrodes up the limbs, alike on both sides, and note it",
    ),
    FindingKind.MAINS: (
        "Check the right-leg electrode first, then move cables away from mains leads and devices",
        "Dry and re-prepare the skin under the right-leg electrode, and change it",
    ),
    FindingKind.WANDER: (
        "Let the cables lie loose and ask the person to lie still and breathe quietly",
        "Dry and re-prepare the skin under the electrodes",
    ),
    FindingKind.MOVEMENT: (_STILL, "Let all cables lie loose, and check every clip"),
    FindingKind.POP: (
        "Check every electrode and clip, and let the cables lie loose",
        "Dry and re-prepare the skin under the electrodes of these leads, and change them",
    ),
    FindingKind.LOOSE_CONTACT: (
        "Check every electrode and clip, and let the cables lie loose",
        _ANOTHER_CABLE,
    ),
    FindingKind.LOST_CONTACT: (
        "Look at the person, then see that the patient cable and the right-leg electrode hold",
        _ANOTHER_CABLE,
    ),
    FindingKind.FLAT: (
        "Check the limb electrodes, their clips and the patient cable",
        _ANOTHER_CABLE,
    ),
    FindingKind.SATURATED: (
        "Check the electrodes of these leads, their clips and their cables",
        _ANOTHER_CABLE,
    ),
    FindingKind.MISSING_SAMPLES: (
        "Check the patient cable and the connection to the recorder",
        _ANOTHER_CABLE,
    ),
}


def word_remedies(
    kind: FindingKind, electrodes: tuple[Electrode, ...], asks: Verdict
) -> tuple[str, ...]:
    """Imperative sentences; the first asks for a repeat only where the finding does.

    Parameters
    ----------
    kind : FindingKind
        What is wrong.
    electrodes : tuple of Electrode
        Where; empty where that cannot be told.
    asks : Verdict
        What the finding asks for.
    """
    first, *further = choose_actions(kind, electrodes)
    if asks == Verdict.RECORD_AGAIN:
        return (f"{first}{_AGAIN}", *(f"{each}." for each in further))
    begin = f"{_IF_AGAIN}{first[0].lower()}{first[1:]}."
    return (begin, *(f"{each}." for each in further))


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


def choose_actions(kind: FindingKind, electrodes: tuple[Electrode, ...]) -> tuple[str, ...]:
    """What to try, the simplest first; at least one action."""
    if kind == FindingKind.LOST_CONTACT and set(electrodes) == set(CHEST_ELECTRODES):
        return (
            "Check that the chest cables are plugged in and that the electrodes stick",
            _ANOTHER_CABLE,
        )
    if not electrodes or len(electrodes) > _MOST_NAMED:
        return _ANYWHERE[kind]
    if kind in {FindingKind.MUSCLE_TREMOR, FindingKind.LIMB_TREMOR}:
        return _relax(kind, electrodes)
    return _act_at(kind, electrodes)


def _act_at(kind: FindingKind, electrodes: tuple[Electrode, ...]) -> tuple[str, ...]:
    where = name_electrodes(electrodes)
    one = len(electrodes) == 1
    its_cable, it = ("its cable", "it") if one else ("their cables", "them")
    check = f"Press the {where} down and check the {'clip' if one else 'clips'}"
    on_skin = (*_prepare(electrodes), f"Change the {where}")
    if kind == FindingKind.MAINS:
        around = (_MAINS_AROUND,) if Electrode.RL in electrodes else ()
        away = f"Move {its_cable} away from mains leads and devices"
        return (check, *(around or (away,)), *on_skin)
    if kind == FindingKind.WANDER:
        loose = f"Let the {where} and {its_cable} lie loose, with nothing pulling at {it}"
        return (loose, "Ask the person to lie still and breathe quietly", *on_skin)
    if kind == FindingKind.MOVEMENT:
        still = f"Let the {where} and {its_cable} lie still and loose"
        return (still, _STILL, *on_skin)
    if kind == FindingKind.POP:
        return (check, *on_skin)
    return (check, *on_skin, _ANOTHER_CABLE)


def _prepare(electrodes: tuple[Electrode, ...]) -> tuple[str, ...]:
    """Skin, and hair where there mostly is some."""
    where = name_electrodes(electrodes)
    dry = f"Dry and re-prepare the skin under the {where}"
    if not set(electrodes) & set(CHEST_ELECTRODES):
        return (dry,)
    return (dry, f"Clip hair under the {where}, if the person agrees")


def _relax(kind: FindingKind, electrodes: tuple[Electrode, ...]) -> tuple[str, ...]:
    if len(electrodes) > 1:
        return _ANYWHERE[kind]
    (electrode,) = electrodes
    if electrode in CHEST_ELECTRODES:
        return (
            "Let the person lie back with the shoulders down, wait ten seconds",
            _WARM,
            f"Press the {name_electrode(electrode)} down and check the clip",
        )
    part, limb = "hand" if electrode in _ARMS else "foot", name_limb(electrode)
    rest = f"Rest the {limb} on the couch with the {part} relaxed, wait ten seconds"
    support = f"Support the {limb} with a pillow"
    if kind == FindingKind.MUSCLE_TREMOR:
        return (rest, support, _WARM)
    higher = f"Move the {name_electrode(electrode)} and its fellow up the limbs alike, and note it"
    return (rest, support, higher)


_MOST_NAMED = 4
