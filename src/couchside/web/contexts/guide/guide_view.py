"""One placement as its guide shows it."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.errors import NotFound
from couchside.recording import (
    LIMB_ELECTRODES,
    PLACEMENT_NOTES,
    PREPARATION,
    SITE_FACTS,
    ColourCode,
    Electrode,
    Placement,
    Site,
    list_sites,
)
from couchside.web.contexts.electrode_view import Cable, make_cable
from couchside.web.contexts.guide.marks import GAUGES, IN_ADDITION, MARKS, VIEWS, Mark
from couchside.web.contexts.guide.outlines import OUTLINES, Outline, View
from couchside.web.translation import gettext as _
from couchside.web.translation import translate
from couchside.web.wording import say

GUIDED = tuple(VIEWS)
"""Placements that have a guide, the usual one first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Dot:
    """One electrode in a drawing; without a cable it is an open ring."""

    x: int
    y: int
    label_x: int
    label_y: int
    label: str
    cable: Cable | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """One drawing with its electrodes; `title` says it in words."""

    view: str
    title: str
    sides: tuple[str, str]
    outline: Outline
    gauges: tuple[str, ...]
    dots: tuple[Dot, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteRow:
    """One electrode in words."""

    name: str
    cable: Cable
    where: str
    find: str


@dataclass(frozen=True, slots=True, kw_only=True)
class GuideView:
    """The guide to one placement; `choices` are slug, name, and whether it is this one."""

    slug: str
    name: str
    choices: tuple[tuple[str, str, bool], ...]
    drawings: tuple[Drawing, ...]
    chest: tuple[SiteRow, ...]
    limbs: tuple[SiteRow, ...]
    notes: tuple[str, ...]
    preparation: tuple[str, ...]
    sources: str


def slug_of(placement: Placement) -> str:
    """A placement in an address: ``"right-sided"``."""
    return placement.name.lower().replace("_", "-")


def choose_guided(placement: Placement) -> Placement:
    """A placement itself, or the usual one where none is stated."""
    return placement if placement in GUIDED else GUIDED[0]


def find_placement(slug: str) -> Placement:
    """The placement of an address; raises NotFound where it has no guide."""
    for placement in GUIDED:
        if slug_of(placement) == slug:
            return placement
    known = ", ".join(map(slug_of, GUIDED))
    raise NotFound(f"there is no guide to the placement {slug!r}; choose one of {known}")


def view_guide(placement: Placement, code: ColourCode) -> GuideView:
    """The guide to one placement, with the cables of the chosen code."""
    sites = list_sites(placement)
    return GuideView(
        slug=slug_of(placement),
        name=say(placement.value),
        choices=tuple((slug_of(each), say(each.value), each is placement) for each in GUIDED),
        drawings=tuple(_draw(placement, view, sites, code) for view in VIEWS[placement]),
        chest=tuple(
            _view_row(electrode, site, code)
            for electrode, site in sites.items()
            if electrode not in LIMB_ELECTRODES
        ),
        limbs=tuple(_view_row(electrode, sites[electrode], code) for electrode in LIMB_ELECTRODES),
        notes=tuple(translate(note.words) for note in PLACEMENT_NOTES[placement]),
        preparation=tuple(map(translate, PREPARATION)),
        sources=_name_sources(placement, sites),
    )


def _draw(
    placement: Placement, view: View, sites: dict[Electrode, Site], code: ColourCode
) -> Drawing:
    marks = MARKS[view]
    placed = {electrode: site for electrode, site in sites.items() if site in marks}
    dots = [
        _make_dot(marks[site], _name(electrode, site, code), make_cable(electrode, code))
        for electrode, site in placed.items()
    ]
    rings = [
        _make_dot(marks[site], str(site), None)
        for site in IN_ADDITION.get(placement, ())
        if site in marks
    ]
    return Drawing(
        view=say(view.value),
        title=_(
            "%(view)s: %(electrodes)s",
            view=say(view.value),
            electrodes="; ".join(_describe(electrode, site) for electrode, site in placed.items()),
        ),
        sides=_name_sides(view),
        outline=OUTLINES[view],
        gauges=GAUGES.get((placement, view), ()),
        dots=(*rings, *dots),
    )


def _make_dot(mark: Mark, label: str, cable: Cable | None) -> Dot:
    return Dot(
        x=mark.x,
        y=mark.y,
        label_x=mark.x + mark.dx,
        label_y=mark.y + mark.dy,
        label=label,
        cable=cable,
    )


def _name(electrode: Electrode, site: Site, code: ColourCode) -> str:
    """The lead that is recorded there; for a limb what is written on its cable."""
    if electrode in LIMB_ELECTRODES:
        return make_cable(electrode, code).label
    return site.value.split(" ", 1)[0]


def _describe(electrode: Electrode, site: Site) -> str:
    return translate(site.value) if electrode in LIMB_ELECTRODES else site.value


def _name_sides(view: View) -> tuple[str, str]:
    if view is View.SIDE:
        return _("front"), _("back")
    right, left = _("person’s right"), _("person’s left")
    return (left, right) if view is View.BACK else (right, left)


def _view_row(electrode: Electrode, site: Site, code: ColourCode) -> SiteRow:
    facts = SITE_FACTS[site]
    return SiteRow(
        name=say(site.value) if electrode in LIMB_ELECTRODES else site.value.split(" ", 1)[0],
        cable=make_cable(electrode, code),
        where=translate(facts.where),
        find=translate(facts.find),
    )


def _name_sources(placement: Placement, sites: dict[Electrode, Site]) -> str:
    """Every source once, with how it was checked."""
    stated = [(each.source, each.trust) for each in map(SITE_FACTS.__getitem__, sites.values())]
    stated += [(note.source, note.trust) for note in PLACEMENT_NOTES[placement]]
    return "; ".join(
        f"{translate(source)} ({translate(trust.value)})" for source, trust in dict.fromkeys(stated)
    )
