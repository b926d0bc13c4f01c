"""The drawing that shows a finding: what was recorded, one electrode's part, and the rest."""

from __future__ import annotations

import numpy as np

from couchside.paper.excerpt import TALLEST_ROW_MM, excerpt
from couchside.paper.page import Page
from couchside.paper.sizes import STANDARD_GAIN_MM_PER_MV
from couchside.quality.evidence import WEIGHED_KINDS, Evidence, find_evidence
from couchside.quality.model import Assessment, Finding
from couchside.recording import CHEST_ELECTRODES, Electrode, Recording

MOST_LEADS = 3
"""So many rows a drawing has: of one electrode's fault the lead, its part, and the rest."""


def shows_in_a_lead(recording: Recording, finding: Finding) -> bool:
    """Whether there is anything to draw of a finding."""
    return any(recording.has_lead(lead) for lead in finding.leads)


def is_drawn_apart(finding: Finding) -> bool:
    """Whether the drawing parts the electrode from the heart."""
    return bool(finding.electrodes) and finding.kind in WEIGHED_KINDS


def draw_evidence(
    recording: Recording,
    assessment: Assessment,
    finding: Finding,
    *,
    gain_mm_per_mv: float = STANDARD_GAIN_MM_PER_MV,
    tallest_row_mm: float = TALLEST_ROW_MM,
) -> Page | None:
    """Draw a finding where it is worst, to scale.

    Parameters
    ----------
    recording : Recording
        Drawn as recorded.
    assessment : Assessment
        Of that recording.
    finding : Finding
        One of the assessment's.
    gain_mm_per_mv : {5, 10, 20}
        For every row.
    tallest_row_mm : float
        How far a row reaches at most above and below its level line.

    Returns
    -------
    Page or None
        Where a part of the tracing is known to come from the finding's electrodes: its worst lead
        as recorded, that part, and the lead without it. Else up to three of its leads. None where
        the finding shows in no recorded lead.
    """
    shown = find_evidence(recording, assessment, finding)
    if shown is None:
        return None
    parted = part_from_heart(recording, shown, finding)
    drawn, leads = (
        (recording, shown.leads[:MOST_LEADS]) if parted is None else (parted, parted.leads)
    )
    return excerpt(
        drawn,
        leads,
        shown.span_s,
        gain_mm_per_mv=gain_mm_per_mv,
        tallest_row_mm=tallest_row_mm,
    )


def part_from_heart(recording: Recording, shown: Evidence, finding: Finding) -> Recording | None:
    """A drawing's own "leads": the worst one as recorded, the electrode's part, and the rest.

    None where no part is known to be an electrode's.
    """
    if shown.electrode_uv is None:
        return None
    recorded, part = recording.get_lead(shown.leads[0]), shown.electrode_uv[0]
    place = "+".join(map(_name_shortly, finding.electrodes))
    return Recording(
        leads=(shown.leads[0], f"by {place}", "without"),
        microvolts=np.array([recorded, part, recorded - part]),
        rate_hz=recording.rate_hz,
    )


def _name_shortly(electrode: Electrode) -> str:
    return f"V{electrode.value[1]}" if electrode in CHEST_ELECTRODES else electrode.value
