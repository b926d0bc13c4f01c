"""What a later attempt made better or worse than the one before it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from couchside.quality.model import Assessment, Finding, FindingKind
from couchside.recording import Electrode
from couchside.service import AttemptSummary, Desk, OpenedRecording, open_recording
from couchside.web.contexts.electrode_view import name_place
from couchside.web.contexts.side_by_side import find_shown
from couchside.web.contexts.verdict_view import describe_cause
from couchside.web.translation import format_decimals
from couchside.web.wording import VERDICT_SHAPES, say, sentence_case


@dataclass(frozen=True, slots=True, kw_only=True)
class ProgressView:
    """This attempt beside the one before: findings gone, still there, new, and noise by electrode.

    `noise` holds an electrode, its noise before and after. `picture` is the address of both
    attempts one above the other, empty where nothing was noticed that shows in a lead of both.
    """

    before_number: int
    before_address: str
    before_shape: str
    before_verdict: str
    gone: tuple[str, ...]
    still: tuple[str, ...]
    new: tuple[str, ...]
    noise: tuple[tuple[str, str, str], ...]
    picture: str


def find_attempt_before(opened: OpenedRecording) -> AttemptSummary | None:
    """The attempt before this one; None for a first attempt or a recording under no order."""
    earlier = [each for each in opened.attempts if each.number < (opened.attempt_number or 0)]
    return earlier[-1] if earlier else None


def view_progress(desk: Desk, opened: OpenedRecording) -> ProgressView | None:
    """This attempt against the one before; None for a first attempt."""
    earlier = find_attempt_before(opened)
    if earlier is None:
        return None
    opened_before = open_recording(desk, earlier.recording_id)
    before = opened_before.assessment
    shows = find_shown(opened_before, opened) is not None
    then, now = _by_name(before), _by_name(opened.assessment)
    return ProgressView(
        before_number=earlier.number,
        before_address=f"/recordings/{earlier.recording_id}",
        before_shape=VERDICT_SHAPES[before.verdict],
        before_verdict=say(before.verdict.value),
        gone=tuple(name for name in then if name not in now),
        still=tuple(name for name in now if name in then),
        new=tuple(name for name in now if name not in then),
        noise=_compare_noise(before, opened.assessment),
        picture=f"/recordings/{opened.summary.id}/side-by-side.svg" if shows else "",
    )


def _by_name(assessment: Assessment) -> dict[str, Finding]:
    return {_name(each): each for each in assessment.findings}


def _name(finding: Finding) -> str:
    where = describe_cause(finding) if finding.electrodes else ", ".join(finding.leads[:3])
    what = say(finding.kind.value)
    return f"{what}: {where}" if where else what


def _compare_noise(before: Assessment, after: Assessment) -> tuple[tuple[str, str, str], ...]:
    """Noise of all bands together, at each electrode that a finding of either attempt names.

    An electrode that touches nothing has no noise either, which is no merit: it is left out.
    """
    findings = (*before.findings, *after.findings)
    named = {each for one in findings for each in one.electrodes}
    named -= {
        each for one in findings if one.kind is FindingKind.LOST_CONTACT for each in one.electrodes
    }
    rows = []
    for electrode in sorted(named, key=list(Electrode).index):
        values = [_find_noise_uv(each, electrode) for each in (before, after)]
        if None not in values:
            shown = [f"{format_decimals(value, 0)} µV" for value in values if value is not None]
            rows.append((sentence_case(name_place(electrode)), shown[0], shown[1]))
    return tuple(rows)


def _find_noise_uv(assessment: Assessment, electrode: Electrode) -> float | None:
    noise = assessment.electrode_noise
    if noise is None or electrode not in noise.electrodes:
        return None
    column = noise.noise_rms_uv[:, noise.electrodes.index(electrode)]
    return float(np.sqrt(np.sum(column**2)))
