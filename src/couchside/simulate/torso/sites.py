"""Where the ten electrodes sit under each placement, and when they are moved."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.recording import CHEST_ELECTRODES, CHEST_LEADS_AS_PLACED, Electrode, Placement
from couchside.simulate.chance import Chance
from couchside.simulate.torso.surface import Site, moved

INTERSPACE_CM = 3.0
"""From one intercostal space to the next at the front of an adult [from memory]."""

STANDARD_SITES: dict[Electrode, Site] = {
    Electrode.RA: Site(around_deg=-75.0, down_cm=-15.0),
    Electrode.LA: Site(around_deg=75.0, down_cm=-15.0),
    Electrode.LL: Site(around_deg=25.0, down_cm=36.0),
    Electrode.RL: Site(around_deg=-25.0, down_cm=36.0),
    Electrode.C1: Site(around_deg=-9.0, down_cm=0.0),
    Electrode.C2: Site(around_deg=9.0, down_cm=0.0),
    Electrode.C3: Site(around_deg=22.5, down_cm=1.5),
    Electrode.C4: Site(around_deg=36.4, down_cm=3.0),
    Electrode.C5: Site(around_deg=60.0, down_cm=3.0),
    Electrode.C6: Site(around_deg=90.0, down_cm=3.0),
}
"""Limb electrodes stand for the root of their limb: along a limb the potential hardly changes."""

_MASON_LIKAR_SITES = {
    Electrode.RA: Site(around_deg=-28.0, down_cm=-12.0),
    Electrode.LA: Site(around_deg=28.0, down_cm=-12.0),
    Electrode.LL: Site(around_deg=35.0, down_cm=30.0),
    Electrode.RL: Site(around_deg=-35.0, down_cm=30.0),
}
"""Below the collar bones and above the hips [MasonLikar1966, from memory]; within that, set so that
R falls in I and rises in II, III and aVF as it does on people [Papouchado1987]."""

_SITE_OF_LEAD = {
    "V1": STANDARD_SITES[Electrode.C1],
    "V2": STANDARD_SITES[Electrode.C2],
    "V3": STANDARD_SITES[Electrode.C3],
    "V4": STANDARD_SITES[Electrode.C4],
    "V5": STANDARD_SITES[Electrode.C5],
    "V6": STANDARD_SITES[Electrode.C6],
    "V7": Site(around_deg=115.0, down_cm=3.0),
    "V8": Site(around_deg=140.0, down_cm=3.0),
    "V9": Site(around_deg=163.0, down_cm=3.0),
    "V3R": Site(around_deg=-22.5, down_cm=1.5),
    "V4R": Site(around_deg=-36.4, down_cm=3.0),
    "V5R": Site(around_deg=-60.0, down_cm=3.0),
    "V6R": Site(around_deg=-90.0, down_cm=3.0),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ElectrodeShift:
    """An electrode that sits beside its place.

    Parameters
    ----------
    electrode : Electrode
        Which.
    left_cm : float
        Towards the person's left; negative is to the right.
    down_cm : float
        Towards the feet; an interspace up is −3.
    """

    electrode: Electrode
    left_cm: float = 0.0
    down_cm: float = 0.0


def sites_for(
    placement: Placement, shifts: tuple[ElectrodeShift, ...] = (), torso_size: float = 1.0
) -> dict[Electrode, Site]:
    """Where each electrode sits.

    Parameters
    ----------
    placement : Placement
        The arrangement as a whole; what is not stated is standard.
    shifts : tuple of ElectrodeShift
        Moves on top of it.
    torso_size : float
        The body's size against an adult's; a centimetre is a longer way on a child.

    Returns
    -------
    dict of Electrode to Site
        In the order of `ELECTRODES`.
    """
    sites = dict(STANDARD_SITES)
    if placement is Placement.TORSO:
        sites.update(_MASON_LIKAR_SITES)
    for electrode, lead in zip(CHEST_ELECTRODES, _chest_leads(placement), strict=True):
        sites[electrode] = _SITE_OF_LEAD[lead]
    if placement is Placement.HIGH:
        for electrode in (Electrode.C1, Electrode.C2):
            sites[electrode] = moved(sites[electrode], left_cm=0.0, down_cm=-INTERSPACE_CM)
    for shift in shifts:
        sites[shift.electrode] = moved(
            sites[shift.electrode],
            left_cm=shift.left_cm / torso_size,
            down_cm=shift.down_cm / torso_size,
        )
    return sites


def hand_placed(
    sites: dict[Electrode, Site], error_cm: float, chance: Chance
) -> dict[Electrode, Site]:
    """The sites as a hand finds them: each chest electrode a little beside its aim.

    Parameters
    ----------
    sites : dict of Electrode to Site
        Where they were meant to be.
    error_cm : float
        Standard deviation of the error, sideways and up or down.
    chance : Chance
        The stream for this recording.
    """
    found = dict(sites)
    for electrode in CHEST_ELECTRODES:
        left_cm, down_cm = error_cm * chance.normals(2)
        found[electrode] = moved(sites[electrode], left_cm=float(left_cm), down_cm=float(down_cm))
    return found


def _chest_leads(placement: Placement) -> tuple[str, ...]:
    return CHEST_LEADS_AS_PLACED.get(placement, CHEST_LEADS_AS_PLACED[Placement.STANDARD])
