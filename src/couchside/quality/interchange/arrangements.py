"""Every way of hanging the cables that is looked for, with what puts a recording right again.

Nine potentials make the twelve leads: RA, LA, LL and C1..C6, here against their own mean, so that
an exchange among these nine cables only trades rows. The right leg is at the potential of the
left leg but for 1–2 % of the heart's signal; taken as equal, the 24 hangings of the four limb
cables make twelve different recordings: six from which everything can be worked out again, and
six in which one arm is not recorded at all and I, II or III is flat [Batchvarov2007].
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from itertools import combinations, permutations
from types import MappingProxyType

from couchside.recording import (
    CABLE_MARKS,
    CHEST_ELECTRODES,
    LIMB_ELECTRODES,
    ColourCode,
    Electrode,
)

Cables = Mapping[Electrode, Electrode]
"""The electrode that each displaced cable hangs on."""

_RA, _LA, _LL, _RL = LIMB_ELECTRODES
_ARMS = (_RA, _LA)
RECORDED_ELECTRODES = (_RA, _LA, _LL, *CHEST_ELECTRODES)
"""The nine whose potentials enter a lead."""


class ArrangementGroup(StrEnum):
    """Arrangements for which the same weight of proof is asked."""

    IN_PLACE = "in place"
    LIMB = "limb cables"
    LEFT_ARM_LEFT_LEG = "left arm and left leg"
    RIGHT_LEG = "a recording cable on the right leg"
    CHEST_PAIR = "two chest cables"
    CHEST_ROW = "the row of chest cables"
    LIMB_CHEST = "a limb and a chest cable"


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrangement:
    """One way of hanging the cables.

    Parameters
    ----------
    cables : mapping of Electrode to Electrode
        The electrode that each displaced cable hangs on; empty where all hang in place.
    group : ArrangementGroup
        What kind of mistake it is.
    rarity : float
        How much rarer than the commonest of its group, as a natural logarithm, 0 or less.
    lost : Electrode or None
        The electrode that no recording cable hangs on; None where nothing is lost.
    """

    cables: Cables
    group: ArrangementGroup
    rarity: float = 0.0
    lost: Electrode | None = None

    @property
    def displaced(self) -> tuple[Electrode, ...]:
        """The cables that hang elsewhere, limb cables first."""
        return tuple(self.cables)

    @property
    def can_be_undone(self) -> bool:
        """Whether software can put the recording right: never with a cable on the right leg."""
        return _RL not in self.cables

    def looks_like(self, other: Arrangement) -> bool:
        """Whether both leave the same recording, the legs being taken as equal."""
        return self.lost is other.lost and _by_leg(self) == _by_leg(other)


def _by_leg(arrangement: Arrangement) -> dict[Electrode, Electrode]:
    """Where the nine recording cables hang, either leg being the left."""
    return {
        cable: _legs_alike(arrangement.cables.get(cable, cable)) for cable in RECORDED_ELECTRODES
    }


def find_code_mixed_up(arrangement: Arrangement) -> ColourCode | None:
    """The code by whose colours cables of the other code were hung; None where by neither.

    Cables whose colour the other code has not are taken to hang on what was left.
    """
    return next(
        (code for code, cables in _MIXED_UP.items() if dict(cables) == dict(arrangement.cables)),
        None,
    )


def _hung_by(code: ColourCode, own: ColourCode) -> Cables:
    """Limb cables marked in their own code, hung where the other code has their colour."""
    site_of_colour = {CABLE_MARKS[code][site].colours: site for site in LIMB_ELECTRODES}
    hung = {
        cable: site_of_colour[CABLE_MARKS[own][cable].colours]
        for cable in LIMB_ELECTRODES
        if CABLE_MARKS[own][cable].colours in site_of_colour
    }
    left = [site for site in LIMB_ELECTRODES if site not in hung.values()]
    over = [cable for cable in LIMB_ELECTRODES if cable not in hung]
    return _displaced(hung | dict(zip(over, left, strict=True)))


def _list_arrangements() -> Iterator[Arrangement]:
    for sites in permutations(LIMB_ELECTRODES):
        yield _limb(_displaced(dict(zip(LIMB_ELECTRODES, sites, strict=True))))
    for first, second in combinations(CHEST_ELECTRODES, 2):
        apart = CHEST_ELECTRODES.index(second) - CHEST_ELECTRODES.index(first)
        yield Arrangement(
            cables=_exchange(first, second),
            group=ArrangementGroup.CHEST_PAIR,
            rarity=0.0 if apart == 1 else FARTHER_APART,
        )
    for order in _CHEST_ROWS:
        yield Arrangement(
            cables=_displaced(dict(zip(CHEST_ELECTRODES, order, strict=True))),
            group=ArrangementGroup.CHEST_ROW,
        )
    for limb, chest in _same_coloured_pairs():
        yield Arrangement(
            cables=_exchange(limb, chest),
            group=ArrangementGroup.RIGHT_LEG if limb is _RL else ArrangementGroup.LIMB_CHEST,
            lost=chest if limb is _RL else None,
        )


def _limb(cables: Cables) -> Arrangement:
    at_cable = {cables.get(cable, cable): cable for cable in LIMB_ELECTRODES}
    lost = next((arm for arm in _ARMS if at_cable[arm] is _RL), None)
    return Arrangement(
        cables=cables,
        group=_limb_group(cables, lost),
        rarity=_COMMON_LIMB.get(frozenset(cables.items()), RARE_LIMB),
        lost=lost,
    )


def _limb_group(cables: Cables, lost: Electrode | None) -> ArrangementGroup:
    if lost is not None:
        return ArrangementGroup.RIGHT_LEG
    if set(cables) <= {_LL, _RL}:
        return ArrangementGroup.IN_PLACE
    upper = {_legs_alike(cable): _legs_alike(site) for cable, site in cables.items()}
    if upper.get(_RA, _RA) is _RA:
        return ArrangementGroup.LEFT_ARM_LEFT_LEG
    return ArrangementGroup.LIMB


def _legs_alike(electrode: Electrode) -> Electrode:
    return _LL if electrode is _RL else electrode


def _displaced(cables: Cables) -> Cables:
    return MappingProxyType({cable: site for cable, site in cables.items() if cable is not site})


def _exchange(first: Electrode, second: Electrode) -> Cables:
    return MappingProxyType({first: second, second: first})


def _same_coloured_pairs() -> list[tuple[Electrode, Electrode]]:
    """A limb and a chest cable that share a colour which not every chest cable bears."""
    pairs = []
    for marks in (CABLE_MARKS[code] for code in ColourCode):
        chest = {each: frozenset(marks[each].colours) for each in CHEST_ELECTRODES}
        shared = frozenset.intersection(*chest.values())
        pairs += [
            (limb, each)
            for limb in LIMB_ELECTRODES
            for each in CHEST_ELECTRODES
            if chest[each] & frozenset(marks[limb].colours) - shared
        ]
    return pairs


FARTHER_APART = -1.0
RARE_LIMB = -4.0
_COMMON_LIMB = {
    frozenset(cables.items()): rarity
    for cables, rarity in (
        ({}, 0.0),
        ({_RA: _LA, _LA: _RA}, 0.0),
        ({_LA: _LL, _LL: _LA}, 0.0),
        ({_RA: _RL, _RL: _RA}, 0.0),
        ({_RA: _LL, _LL: _RA}, -1.0),
        ({_LA: _RL, _RL: _LA}, -1.0),
        ({_RA: _RL, _RL: _RA, _LA: _LL, _LL: _LA}, -1.0),
        ({_RA: _LA, _LA: _LL, _LL: _RA}, -2.0),
        ({_RA: _LL, _LA: _RA, _LL: _LA}, -2.0),
        ({_RA: _LL, _LL: _RA, _LA: _RL, _RL: _LA}, -2.0),
        ({_RA: _LL, _LA: _RA, _LL: _RL, _RL: _LA}, -2.0),
    )
}
"""From memory of what the trade calls common: the arms, left arm with left leg, right arm with
right leg, both arms on legs. The last is what colours of the other code make. Of two that leave
the same recording it says which is named."""
_CHEST_ROWS = (
    (*CHEST_ELECTRODES[1:], CHEST_ELECTRODES[0]),
    (CHEST_ELECTRODES[-1], *CHEST_ELECTRODES[:-1]),
    CHEST_ELECTRODES[::-1],
)

ARRANGEMENTS: tuple[Arrangement, ...] = tuple(_list_arrangements())
"""All that are looked for, the right one first: 24 of the limb cables, 15 pairs, two rotations and
the reversal of the chest cables, and the pairs of one colour by either code."""
_MIXED_UP = {
    ColourCode.AHA: _hung_by(ColourCode.AHA, ColourCode.IEC),
    ColourCode.IEC: _hung_by(ColourCode.IEC, ColourCode.AHA),
}
"""Red is the right arm in the IEC code and the left leg in the AHA code, black the right leg and
the left arm, green the left leg and the right leg."""
