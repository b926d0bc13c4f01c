"""The one answer, as large as it is shown: word, shape, electrode, remedy."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.quality.model import Assessment, Finding, Verdict
from couchside.recording import ColourCode
from couchside.service.causes import Cause
from couchside.web.contexts.electrode_view import (
    Cable,
    ElectrodeMap,
    make_cable,
    make_electrode_map,
    name_place,
)
from couchside.web.translation import N_, translate
from couchside.web.wording import VERDICT_SHAPES, join_with_and, say, sentence_case

_NOTHING_FOUND = N_("Nothing was noticed that speaks against reading it.")


@dataclass(frozen=True, slots=True, kw_only=True)
class VerdictView:
    """What must be readable from two metres.

    `tone` names the panel's style; `cables` are those that the leading finding names; `remedy` is
    what to do first, and `reason` what was noticed; what to try next stands with the finding.
    """

    verdict: Verdict
    word: str
    shape: str
    tone: str
    cables: tuple[Cable, ...]
    place: str
    remedy: str
    reason: str
    map: ElectrodeMap


def view_verdict(assessment: Assessment, code: ColourCode) -> VerdictView:
    """The verdict with the finding that led to it."""
    leading = find_leading(assessment)
    electrodes = leading.electrodes if leading else ()
    cables = tuple(make_cable(electrode, code) for electrode in electrodes)
    shape = VERDICT_SHAPES[assessment.verdict]
    return VerdictView(
        verdict=assessment.verdict,
        word=say(assessment.verdict.value),
        shape=shape,
        tone=shape,
        cables=cables,
        place=describe_cause(leading),
        remedy=translate(leading.remedy) if leading else "",
        reason=translate(leading.sentence if leading else _NOTHING_FOUND),
        map=make_electrode_map(electrodes, code),
    )


def find_leading(assessment: Assessment) -> Finding | None:
    """The weightiest finding among those that ask for the verdict; none for `keep`."""
    if assessment.verdict is Verdict.KEEP:
        return None
    return next((each for each in assessment.findings if each.asks == assessment.verdict), None)


def describe_cause(finding: Finding | Cause | None) -> str:
    """Where a finding comes from, or what it is where it is no electrode's; empty for none."""
    if finding is None:
        return ""
    if finding.electrodes:
        return sentence_case(join_with_and(tuple(map(name_place, finding.electrodes))))
    return say(finding.kind.value)
