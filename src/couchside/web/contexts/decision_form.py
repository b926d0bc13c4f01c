"""What a person may decide on a recording, with the words made ready."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.quality.model import Assessment, Finding, Verdict
from couchside.recording import Electrode
from couchside.service import DecisionKind, OpenedRecording
from couchside.service.text_limits import LONGEST_TEXT
from couchside.web.contexts.electrode_view import name_place
from couchside.web.translation import N_, translate
from couchside.web.translation import gettext as _
from couchside.web.wording import say

NOT_RECORDED_REASONS = (
    N_("The person declined"),
    N_("The person was not there"),
    N_("Electrodes do not hold on the skin"),
    N_("The person cannot lie still"),
)


KEPT_ANYWAY_REASONS = (
    N_("No other recording can be made now"),
    N_("The fault does not touch what is asked"),
    N_("It looks the same after another attempt"),
)
_AGAINST_ADVICE = N_("Couchside advises recording again. Keep this one all the same?")


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way on: its button, and the form behind it where it asks something first.

    `takes_first` says that the first reason is chosen already.
    """

    id: str
    kind: DecisionKind
    words: str
    shape: str
    key: str
    is_advised: bool
    asks: bool = True
    asks_first: str = ""
    reasons: tuple[str, ...] = ()
    takes_first: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class DecisionForm:
    """The four ways on, the advised one first.

    `remark` is made ready by the policy from the findings that ask for one.
    """

    address: str
    seen_number: int
    advised: Verdict
    remark: str
    ways: tuple[Way, ...]
    longest_text: int = LONGEST_TEXT


def make_decision_form(opened: OpenedRecording) -> DecisionForm:
    """The form for one recording."""
    assessment = opened.assessment
    ways = (_keep(assessment.verdict), _remark(assessment.verdict), _again(assessment), _not())
    return DecisionForm(
        address=f"/recordings/{opened.summary.id}/decision",
        seen_number=opened.decision_number,
        advised=assessment.verdict,
        remark=_suggest_remark(assessment),
        ways=tuple(sorted(ways, key=lambda way: not way.is_advised)),
    )


def _keep(verdict: Verdict) -> Way:
    is_against_advice = verdict is Verdict.RECORD_AGAIN
    return Way(
        id="keep",
        kind=DecisionKind.KEEP,
        words=_("Keep all the same") if is_against_advice else _("Keep"),
        shape="ring",
        key="k",
        is_advised=verdict is Verdict.KEEP,
        asks=is_against_advice,
        asks_first=translate(_AGAINST_ADVICE),
        reasons=tuple(map(translate, KEPT_ANYWAY_REASONS)),
    )


def _remark(verdict: Verdict) -> Way:
    is_against_advice = verdict is Verdict.RECORD_AGAIN
    return Way(
        id="note",
        kind=DecisionKind.KEEP_WITH_REMARK,
        words=_("Keep with a remark"),
        shape="note",
        key="n",
        is_advised=verdict is Verdict.KEEP_WITH_REMARK,
        asks_first=translate(_AGAINST_ADVICE) if is_against_advice else "",
        reasons=tuple(map(translate, KEPT_ANYWAY_REASONS)) if is_against_advice else (),
    )


def _again(assessment: Assessment) -> Way:
    return Way(
        id="again",
        kind=DecisionKind.RECORD_AGAIN,
        words=_("Record again"),
        shape="turn",
        key="a",
        is_advised=assessment.verdict is Verdict.RECORD_AGAIN,
        reasons=_suggest_reasons(assessment),
        takes_first=True,
    )


def _not() -> Way:
    return Way(
        id="not",
        kind=DecisionKind.COULD_NOT_BE_RECORDED,
        words=_("Could not be recorded"),
        shape="barred",
        key="x",
        is_advised=False,
        reasons=tuple(map(translate, NOT_RECORDED_REASONS)),
    )


def _suggest_remark(assessment: Assessment) -> str:
    if assessment.policy is not None and assessment.policy.remark:
        return assessment.policy.remark[:LONGEST_TEXT]
    remark = ""
    for each in assessment.findings:
        longer = f"{remark} {each.sentence}".strip()
        if each.asks is not Verdict.KEEP and len(longer) <= LONGEST_TEXT:
            remark = longer
    return remark


def _suggest_reasons(assessment: Assessment) -> tuple[str, ...]:
    asking = [each for each in assessment.findings if each.asks is not Verdict.KEEP]
    asking.sort(key=lambda finding: finding.asks is not Verdict.RECORD_AGAIN)
    return tuple(dict.fromkeys(_name_briefly(finding) for finding in asking))


def _name_briefly(finding: Finding) -> str:
    where = _places(finding.electrodes) or ", ".join(finding.leads[:3])
    what = say(finding.kind.value)
    return f"{what}: {where}" if where else what


def _places(electrodes: tuple[Electrode, ...]) -> str:
    return ", ".join(name_place(electrode) for electrode in electrodes)
