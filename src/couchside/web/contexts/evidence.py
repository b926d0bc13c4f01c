"""Which leads and which seconds show a finding best."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.quality.model import Finding
from couchside.service import OpenedRecording

MOST_LEADS = 3
SHOWN_S = 3.0
"""So much of a finding that is there all through is enough to see it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """What an excerpt draws."""

    leads: tuple[str, ...]
    span_s: tuple[float, float]


def choose_evidence(opened: OpenedRecording, finding: Finding) -> Evidence | None:
    """The worst leads and the longest span; None where the finding shows in no recorded lead."""
    leads = tuple(lead for lead in finding.leads if opened.recording.has_lead(lead))
    if not leads:
        return None
    return Evidence(leads=leads[:MOST_LEADS], span_s=_choose_span(opened, finding))


def _choose_span(opened: OpenedRecording, finding: Finding) -> tuple[float, float]:
    start, end = max(finding.spans_s, key=lambda span: span[1] - span[0], default=_middle(opened))
    return start, min(end, start + SHOWN_S)


def _middle(opened: OpenedRecording) -> tuple[float, float]:
    duration_s = opened.recording.duration_s
    start = max(0.0, (duration_s - SHOWN_S) / 2)
    return start, min(duration_s, start + SHOWN_S)
