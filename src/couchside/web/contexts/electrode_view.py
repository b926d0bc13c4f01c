"""An electrode as a hand finds it: the drawing of the ten spots, and the cable's mark."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.recording import CABLE_MARKS, ELECTRODES, SITES, ColourCode, Electrode
from couchside.recording import LIMB_ELECTRODES as LIMBS
from couchside.web.translation import gettext as _
from couchside.web.translation import translate
from couchside.web.wording import join_with_and, sentence_case

_SPOTS: dict[Electrode, tuple[int, int]] = {
    Electrode.RA: (22, 200),
    Electrode.LA: (298, 200),
    Electrode.LL: (228, 296),
    Electrode.RL: (92, 296),
    Electrode.C1: (142, 122),
    Electrode.C2: (178, 122),
    Electrode.C3: (190, 147),
    Electrode.C4: (202, 172),
    Electrode.C5: (228, 172),
    Electrode.C6: (254, 172),
}
"""Places on the drawing, 320 wide and 330 high; the person faces us, so their left is our right."""

_LABEL_SHIFTS: dict[Electrode, tuple[int, int]] = {
    Electrode.C1: (-20, 5),
    Electrode.C2: (2, -13),
    Electrode.C3: (-21, 13),
    Electrode.C4: (-2, 24),
    Electrode.C5: (0, 24),
    Electrode.C6: (2, 24),
    Electrode.RA: (0, 28),
    Electrode.LA: (0, 28),
    Electrode.LL: (24, 6),
    Electrode.RL: (-24, 6),
}
_NAMED_REACH = 1.7
"""A named electrode is drawn larger, so its label stands further off."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cable:
    """What is written on an electrode's cable under the chosen code.

    `colours` names one or two cable colours, the inner end first; `words` says them.
    """

    electrode: Electrode
    label: str
    colours: tuple[str, ...]
    place: str

    @property
    def words(self) -> str:
        """The colours in words."""
        return join_with_and(tuple(map(translate, self.colours)))

    @property
    def first_colour(self) -> str:
        """The colour of the drawing's left half."""
        return self.colours[0]

    @property
    def last_colour(self) -> str:
        """The colour of the drawing's right half."""
        return self.colours[-1]


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """One electrode on the drawing."""

    cable: Cable
    x: int
    y: int
    label_x: int
    label_y: int
    is_named: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ElectrodeMap:
    """The ten spots, those that a finding names marked, and the drawing in words."""

    spots: tuple[Spot, ...]
    title: str


def make_cable(electrode: Electrode, code: ColourCode) -> Cable:
    """An electrode's cable under a colour code."""
    mark = CABLE_MARKS[code][electrode]
    return Cable(
        electrode=electrode,
        label=mark.label,
        colours=mark.colours,
        place=sentence_case(name_place(electrode)),
    )


def name_place(electrode: Electrode) -> str:
    """``"left arm"``, ``"V3 electrode"``."""
    if electrode in LIMBS:
        return translate(SITES[electrode])
    lead = f"V{electrode.value[1]}"
    return _("%(lead)s electrode", lead=lead)


def make_electrode_map(named: tuple[Electrode, ...], code: ColourCode) -> ElectrodeMap:
    """The drawing with some electrodes marked."""
    spots = [_make_spot(electrode, code, is_named=electrode in named) for electrode in ELECTRODES]
    return ElectrodeMap(
        spots=tuple(sorted(spots, key=lambda spot: spot.is_named)),
        title=_make_title(named, code),
    )


def _make_spot(electrode: Electrode, code: ColourCode, *, is_named: bool) -> Spot:
    x, y = _SPOTS[electrode]
    dx, dy = _LABEL_SHIFTS[electrode]
    reach = _NAMED_REACH if is_named else 1.0
    return Spot(
        cable=make_cable(electrode, code),
        x=x,
        y=y,
        label_x=round(x + dx * reach),
        label_y=round(y + dy * reach),
        is_named=is_named,
    )


def _make_title(named: tuple[Electrode, ...], code: ColourCode) -> str:
    if not named:
        return _("The ten electrodes of a resting ECG")
    cables = [make_cable(electrode, code) for electrode in named]
    listed = "; ".join(
        _(
            "%(place)s, %(site)s, cable %(label)s, %(colours)s",
            place=cable.place,
            site=translate(SITES[cable.electrode]),
            label=cable.label,
            colours=cable.words,
        )
        for cable in cables
    )
    return _("Where the named electrode sits: %(listed)s", listed=listed)
