"""The drawing that shows a finding: what was recorded, one electrode's part, and the rest."""

from __future__ import annotations

import numpy as np

from couchside.paper import Page, excerpt
from couchside.quality.evidence import WEIGHED_KINDS, Evidence, find_evidence
from couchside.quality.model import Finding
from couchside.recording import CHEST_ELECTRODES, Electrode, Recording
from couchside.service import OpenedRecording

MOST_LEADS = 3


def has_evidence(opened: OpenedRecording, finding: Finding) -> bool:
    """Whether the finding shows in a recorded lead."""
    return any(opened.recording.has_lead(lead) for lead in finding.leads)


def is_drawn_apart(finding: Finding) -> bool:
    """Whether the drawing parts the electrode from the heart."""
    return bool(finding.electrodes) and finding.kind in WEIGHED_KINDS


def draw_evidence(opened: OpenedRecording, finding: Finding) -> Page | None:
    """The worst seconds to scale; None where the finding shows in no recorded lead."""
    shown = find_evidence(opened.recording, opened.assessment, finding)
    if shown is None:
        return None
    parted = part_from_heart(opened.recording, shown, finding)
    if parted is None:
        return excerpt(opened.recording, shown.leads[:MOST_LEADS], shown.span_s)
    return excerpt(parted, parted.leads, shown.span_s)


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
