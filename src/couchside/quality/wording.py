"""The plain words of the findings: how electrodes, leads and waves are named in a sentence."""

from __future__ import annotations

from collections.abc import Iterable

from couchside.quality.model import FiredRow, Hidden, Verdict
from couchside.recording import CHEST_ELECTRODES, ELECTRODES, Electrode, Lead

_LIMBS = {
    Electrode.RA: "right arm",
    Electrode.LA: "left arm",
    Electrode.LL: "left leg",
    Electrode.RL: "right leg",
}


def join_words(words: Iterable[str]) -> str:
    """Join words as a sentence does: "I, II and aVF"."""
    listed = [str(word) for word in words]
    if len(listed) < 2:
        return "".join(listed)
    return f"{', '.join(listed[:-1])} and {listed[-1]}"


def name_electrode(electrode: Electrode) -> str:
    """Name it as "right-arm electrode" or "V3 electrode"; colours are for the page to add."""
    if electrode in CHEST_ELECTRODES:
        return f"V{electrode.value[1]} electrode"
    return f"{_LIMBS[electrode].replace(' ', '-')} electrode"


def name_electrodes(electrodes: tuple[Electrode, ...]) -> str:
    """Name one or several as "V3 electrode" or "V4, V5 and V6 electrodes"."""
    if len(electrodes) == 1:
        return name_electrode(electrodes[0])
    in_order = [electrode for electrode in ELECTRODES if electrode in electrodes]
    if tuple(in_order) == CHEST_ELECTRODES:
        return "V1–V6 electrodes"
    names = (name_electrode(electrode).removesuffix(" electrode") for electrode in in_order)
    return f"{join_words(names)} electrodes"


def name_limb(electrode: Electrode) -> str:
    """Name the limb, as in "right arm"; for a chest electrode, "V3"."""
    return _LIMBS.get(electrode, f"V{electrode.value[1]}")


def name_leads(leads: tuple[str, ...], recorded: tuple[str, ...]) -> str:
    """Name leads as "lead V3", "I, II and aVF", "V1–V6" or "all leads"."""
    if len(leads) == len(recorded) > 1:
        return "all leads"
    in_order = [name for name in recorded if name in leads]
    if len(in_order) == 1:
        return f"lead {in_order[0]}"
    return list_leads(in_order)


def list_leads(leads: Iterable[str]) -> str:
    """Leads in the order in which the trade tells them: "I, aVF and V1–V6"."""
    in_order = sorted(map(str, leads), key=_place_of_lead)
    chest = [name for name in in_order if name.startswith("V")]
    if chest == [f"V{number}" for number in range(1, 7)]:
        return join_words([*(name for name in in_order if name not in chest), "V1–V6"])
    return join_words(in_order)


_LEAD_ORDER = tuple(lead.value for lead in Lead)


def _place_of_lead(name: str) -> int:
    """Leads that the trade does not know come last, as they were."""
    return _LEAD_ORDER.index(name) if name in _LEAD_ORDER else len(_LEAD_ORDER)


def describe_row(fired: FiredRow | None) -> str:
    """A row of the policy as the reason for what is asked, with its source."""
    if fired is None:
        return "no row of the policy asks for anything"
    asks = "for information" if fired.asks is Verdict.KEEP else fired.asks.value
    return f"policy row “{fired.row}”: {asks} ({fired.source})"


def say_microvolts(microvolts: float) -> str:
    """Say a voltage with two figures: "62 µV", "1.4 mV"."""
    if microvolts >= 1000:
        return (
            f"{microvolts / 1000:.2g} mV" if microvolts < 10000 else f"{microvolts / 1000:.0f} mV"
        )
    return f"{float(f'{microvolts:.2g}'):.0f} µV"


def say_hidden(hides: Iterable[Hidden]) -> str:
    """Say what cannot be trusted: "P wave in II and V1; PR interval"; empty for nothing."""
    return "; ".join(
        f"{each.what} in {list_leads(each.leads)}" if each.leads else str(each.what)
        for each in hides
    )
