"""Two attempts one above the other: which leads and which seconds show best what got better."""

from __future__ import annotations

from couchside.paper import Page, Stretch, draw_two_stretches
from couchside.quality.evidence import Evidence, find_evidence
from couchside.quality.model import Assessment, Finding
from couchside.service import OpenedRecording

SHOWN_S = 4.0
MOST_LEADS = 2


def draw_side_by_side(before: OpenedRecording, after: OpenedRecording) -> Page | None:
    """The leads of what was noticed, of both attempts; None where nothing shows in a lead of both.

    What the earlier attempt was faulted for comes first. Each attempt shows its own worst seconds
    of it; where one has no such finding, it shows the seconds of the other.
    """
    finding = find_shown(before, after)
    if finding is None:
        return None
    shown = [_find_evidence(each, finding) for each in (before, after)]
    leads = next(each.leads for each in shown if each is not None)
    leads = tuple(lead for lead in leads if _have(before, after, lead))[:MOST_LEADS]
    seconds = [each.span_s if each is not None else None for each in shown]
    upper, lower = (
        Stretch(
            recording=each.recording,
            name=str(each.attempt_number),
            start_s=_start(each, own or other),
        )
        for each, own, other in zip((before, after), seconds, reversed(seconds), strict=True)
    )
    return draw_two_stretches(upper, lower, leads, length_s=SHOWN_S)


def _start(opened: OpenedRecording, span_s: tuple[float, float] | None) -> float:
    """Where a stretch begins that has the span in its middle and lies in the recording."""
    middle_s = sum(span_s) / 2 if span_s is not None else 0.0
    return max(0.0, min(middle_s - SHOWN_S / 2, opened.recording.duration_s - SHOWN_S))


def find_shown(before: OpenedRecording, after: OpenedRecording) -> Finding | None:
    """The weightiest finding that shows in a lead of both attempts."""
    found = (*before.assessment.findings, *after.assessment.findings)
    return next(
        (each for each in found if any(_have(before, after, lead) for lead in each.leads)), None
    )


def _have(before: OpenedRecording, after: OpenedRecording, lead: str) -> bool:
    return before.recording.has_lead(lead) and after.recording.has_lead(lead)


def _find_evidence(opened: OpenedRecording, finding: Finding) -> Evidence | None:
    own = _find_like(opened.assessment, finding)
    return find_evidence(opened.recording, opened.assessment, own) if own is not None else None


def _find_like(assessment: Assessment, finding: Finding) -> Finding | None:
    """The same kind at the same electrodes; at the same worst lead where no electrode is named."""
    for each in assessment.findings:
        where = (each.electrodes, each.leads[:1] if not each.electrodes else ())
        wanted = (finding.electrodes, finding.leads[:1] if not finding.electrodes else ())
        if each.kind is finding.kind and where == wanted:
            return each
    return None
