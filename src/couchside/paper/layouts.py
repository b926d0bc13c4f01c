"""Which lead stands where on the page, and which stretch of time it shows there."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.paper.sizes import Layout, LimbOrder, PrintSettings
from couchside.recording import (
    CABRERA_LIMB_LEADS,
    CHEST_LEADS_AS_PLACED,
    LIMB_LEADS,
    Lead,
    Placement,
    Recording,
)

ROWS = {
    Layout.THREE_BY_FOUR_AND_ONE: 3,
    Layout.THREE_BY_FOUR_AND_THREE: 3,
    Layout.SIX_BY_TWO: 6,
}
"""Rows of leads; a layout that is not named here gives each lead its own row."""

RHYTHM_ROWS = {Layout.THREE_BY_FOUR_AND_ONE: 1, Layout.THREE_BY_FOUR_AND_THREE: 3}
RHYTHM_LEADS = (Lead.II, Lead.V1, Lead.V5)
"""What rhythm strips show (common practice)."""

_SCHEME_SHARE = 0.5
"""With fewer of the expected leads than this, the page shows the recorded ones alone."""

_LAST_COLUMN_SHARE = 0.5
"""Columns follow one another in time if the last one is filled at least by this share."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """One lead over one stretch of time at one place of the page.

    Parameters
    ----------
    lead : str
        As the recording names it.
    label : str
        As the page names it; "−aVR" where it is drawn inverted.
    row, column, column_span : int
        Its place, counted from 0.
    start_s, length_s : float
        What its place can show, in seconds of the recording.
    is_recorded : bool
        False where the place stays empty.
    """

    lead: str
    label: str
    row: int
    column: int
    column_span: int
    start_s: float
    length_s: float
    is_recorded: bool

    @property
    def is_inverted(self) -> bool:
        """Whether it is drawn upside down."""
        return self.label != self.lead


def make_strip(
    lead: str, *, length_s: float, row: int = 0, column: int = 0, start_s: float = 0.0
) -> Strip:
    """A recorded lead under its own name, one column wide."""
    return Strip(
        lead=lead,
        label=lead,
        row=row,
        column=column,
        column_span=1,
        start_s=start_s,
        length_s=length_s,
        is_recorded=True,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrangement:
    """All strips of a page.

    Parameters
    ----------
    strips : tuple of Strip
        Row by row.
    row_count, column_count : int
        How the page is divided.
    shown_s : tuple of (start, end)
        What of the recording the page shows, in seconds.
    columns_follow_in_time : bool
        Whether each column begins where the one before it ends; else all show the same time.
    """

    strips: tuple[Strip, ...]
    row_count: int
    column_count: int
    shown_s: tuple[float, float]
    columns_follow_in_time: bool


def arrange(recording: Recording, settings: PrintSettings, page_length_s: float) -> Arrangement:
    """Give every lead its place.

    Parameters
    ----------
    recording : Recording
        Any 1 to 18 leads.
    settings : PrintSettings
        The layout, the order of the limb leads and the start.
    page_length_s : float
        What one row holds at the chosen speed.

    Returns
    -------
    Arrangement
        The twelve places of the scheme, column by column, and further leads in further columns.
        A recording with fewer than half of the twelve shows its own leads alone. Where one column
        holds the whole row, there is no rhythm strip: it would show a row again.
    """
    leads = list_places(recording, settings.limb_order)
    row_count = min(ROWS.get(settings.layout, len(leads)), len(leads))
    column_count = -(-len(leads) // row_count)
    column_s = page_length_s / column_count
    available_s = recording.duration_s - settings.start_s
    follow = available_s >= column_s * (column_count - 1 + _LAST_COLUMN_SHARE)

    def place(lead: str, row: int, column: int, column_span: int) -> Strip:
        return Strip(
            lead=lead,
            label=_label(lead, settings.limb_order),
            row=row,
            column=column,
            column_span=column_span,
            start_s=settings.start_s + (column * column_s if follow else 0.0),
            length_s=column_s * column_span,
            is_recorded=recording.has_lead(lead),
        )

    strips = [place(lead, i % row_count, i // row_count, 1) for i, lead in enumerate(leads)]
    rhythm = _rhythm_leads(recording, settings.layout) if column_count > 1 else []
    strips += [place(lead, row_count + i, 0, column_count) for i, lead in enumerate(rhythm)]
    longest_s = page_length_s if follow or rhythm else column_s
    return Arrangement(
        strips=tuple(sorted(strips, key=lambda strip: (strip.row, strip.column))),
        row_count=row_count + len(rhythm),
        column_count=column_count,
        shown_s=(settings.start_s, settings.start_s + min(longest_s, available_s)),
        columns_follow_in_time=follow,
    )


def list_places(recording: Recording, limb_order: LimbOrder) -> list[str]:
    """The leads that have a place on the page, in reading order: the scheme's, then further ones.

    Where the scheme is not kept, they are the recording's own.
    """
    if not keeps_scheme(recording):
        return list(recording.leads)
    scheme = _scheme_leads(recording.placement, limb_order)
    return [*scheme, *list_further_leads(recording)]


def keeps_scheme(recording: Recording) -> bool:
    """Whether enough of the twelve leads were recorded that the page keeps a place for each."""
    scheme = _scheme_leads(recording.placement, LimbOrder.STANDARD)
    return sum(map(recording.has_lead, scheme)) >= _SCHEME_SHARE * len(scheme)


def list_further_leads(recording: Recording) -> list[str]:
    """Leads that the twelve-lead scheme of the recording's placement has no place for."""
    scheme = _scheme_leads(recording.placement, LimbOrder.STANDARD)
    return [lead for lead in recording.leads if lead not in scheme]


def is_chest_lead(lead: str) -> bool:
    """Whether a lead is a chest lead, which the chest gain holds for."""
    return lead.startswith("V") and lead[1:2].isdigit()


def _scheme_leads(placement: Placement, limb_order: LimbOrder) -> tuple[str, ...]:
    limb = CABRERA_LIMB_LEADS if limb_order is LimbOrder.CABRERA else LIMB_LEADS
    chest = CHEST_LEADS_AS_PLACED.get(placement, CHEST_LEADS_AS_PLACED[Placement.STANDARD])
    return (*(str(lead) for lead in limb), *chest)


def _label(lead: str, limb_order: LimbOrder) -> str:
    is_inverted = limb_order is LimbOrder.CABRERA and lead == Lead.AVR
    return f"−{lead}" if is_inverted else str(lead)


def _rhythm_leads(recording: Recording, layout: Layout) -> list[str]:
    wanted = [str(lead) for lead in RHYTHM_LEADS if recording.has_lead(lead)]
    others = [lead for lead in recording.leads if lead not in wanted]
    return [*wanted, *others][: RHYTHM_ROWS.get(layout, 0)]
