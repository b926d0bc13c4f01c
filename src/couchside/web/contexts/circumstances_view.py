"""How a recording was taken, as it stands and as a form to change it."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.recording import (
    ELECTRODES,
    Circumstances,
    ColourCode,
    Placement,
    Position,
    describe_circumstances,
)
from couchside.service import Desk, OpenedRecording
from couchside.web.contexts.electrode_view import Cable, make_cable
from couchside.web.contexts.guide import choose_guided, slug_of
from couchside.web.translation import N_, translate
from couchside.web.translation import gettext as _
from couchside.web.wording import format_moment, say

SYMPTOMS = (N_("none"), N_("chest pain"), N_("breathlessness"), N_("palpitations"), N_("dizziness"))
CONDITIONS = (
    N_("tremor"),
    N_("amputation"),
    N_("dextrocardia"),
    N_("pacemaker"),
    N_("after exercise"),
    N_("cannot lie flat"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedElectrode:
    """One electrode of the form, and where it was if not where it belongs."""

    field: str
    cable: Cable
    where: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CircumstancesView:
    """What stands, in lines, and the fields of the form that changes it."""

    address: str
    guide: str
    seen_number: int
    lines: tuple[str, ...]
    by: str
    placements: tuple[tuple[str, str, bool], ...]
    positions: tuple[tuple[str, str, bool], ...]
    electrodes: tuple[MovedElectrode, ...]
    symptoms: str
    conditions: str
    remark: str
    symptom_hints: tuple[str, ...]
    condition_hints: tuple[str, ...]


def view_circumstances(desk: Desk, opened: OpenedRecording, code: ColourCode) -> CircumstancesView:
    """How one recording was taken; the form begins with what the file states."""
    written = opened.written
    words = written.words if written else Circumstances(placement=opened.recording.placement)
    return CircumstancesView(
        address=f"/recordings/{opened.summary.id}/circumstances",
        guide=f"/guide/{slug_of(choose_guided(words.placement))}",
        seen_number=written.number if written else 0,
        lines=_list_lines(words),
        by=f"{written.who}, {format_moment(written.written_at, desk.zone)}" if written else "",
        placements=tuple((str(each), say(each), each is words.placement) for each in Placement),
        positions=tuple((str(each), say(each), each is words.position) for each in Position),
        electrodes=tuple(
            MovedElectrode(
                field=f"moved_{each.value.lower()}",
                cable=make_cable(each, code),
                where=words.electrodes.get(each, ""),
            )
            for each in ELECTRODES
        ),
        symptoms=words.symptoms,
        conditions=words.conditions,
        remark=words.remark,
        symptom_hints=tuple(map(translate, SYMPTOMS)),
        condition_hints=tuple(map(translate, CONDITIONS)),
    )


def _list_lines(words: Circumstances) -> tuple[str, ...]:
    placement = (
        _("Placement: %(placement)s", placement=translate(words.placement.value))
        if words.placement is not Placement.NOT_STATED
        else ""
    )
    return tuple(
        each for each in (placement, *map(translate, describe_circumstances(words))) if each
    )
