"""What a person may decide on a recording, with the words made ready."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.quality.model import Assessment, Finding, Verdict
from couchside.recording import Electrode
from couchside.service import DecisionKind, OpenedRecording
from couchside.web.contexts.electrode_view import name_place
from couchside.web.wording import sentence_case

NOT_RECORDED_REASONS = (
    "The person declined",
    "The person was not there",
    "Electrodes do not hold on the skin",
    "The person cannot lie still",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class DecisionForm:
    """The four ways on, the advised one marked.

    `remark` is made ready from the findings that ask for one; `reasons` are the findings that speak
    for recording again, weightiest first.
    """

    address: str
    seen_number: int
    advised: DecisionKind
    remark: str
    reasons: tuple[str, ...]
    not_recorded_reasons: tuple[str, ...]


def make_decision_form(opened: OpenedRecording) -> DecisionForm:
    """The form for one recording."""
    return DecisionForm(
        address=f"/recordings/{opened.summary.id}/decision",
        seen_number=opened.decision_number,
        advised=DecisionKind(opened.assessment.verdict.value),
        remark=_suggest_remark(opened.assessment),
        reasons=_suggest_reasons(opened.assessment),
        not_recorded_reasons=NOT_RECORDED_REASONS,
    )


def _suggest_remark(assessment: Assessment) -> str:
    sentences = [each.sentence for each in assessment.findings if each.asks is not Verdict.KEEP]
    return " ".join(sentences)


def _suggest_reasons(assessment: Assessment) -> tuple[str, ...]:
    asking = [each for each in assessment.findings if each.asks is not Verdict.KEEP]
    asking.sort(key=lambda finding: finding.asks is not Verdict.RECORD_AGAIN)
    return tuple(dict.fromkeys(_name_briefly(finding) for finding in asking))


def _name_briefly(finding: Finding) -> str:
    where = _places(finding.electrodes) or ", ".join(finding.leads[:3])
    what = sentence_case(finding.kind.value)
    return f"{what}: {where}" if where else what


def _places(electrodes: tuple[Electrode, ...]) -> str:
    return ", ".join(name_place(electrode) for electrode in electrodes)
