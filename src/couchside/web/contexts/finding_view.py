"""The findings, each with the stretch of tracing that shows it."""

from __future__ import annotations

import json
from dataclasses import dataclass

from couchside.paper import is_drawn_apart, shows_in_a_lead
from couchside.quality.model import Finding, Verdict
from couchside.quality.wording import describe_row, say_hidden
from couchside.recording import ColourCode
from couchside.service import OpenedRecording
from couchside.web.contexts.electrode_view import Cable, make_cable
from couchside.web.translation import N_, format_decimals, format_share, translate
from couchside.web.translation import gettext as _
from couchside.web.wording import VERDICT_SHAPES, format_number, say

_ASKS_WORDS = {
    Verdict.KEEP: N_("For information"),
    Verdict.KEEP_WITH_REMARK: N_("Wants a remark"),
    Verdict.RECORD_AGAIN: N_("Record again"),
}
_UNITS = {
    "uv": "µV",
    "mv": "mV",
    "hz": "Hz",
    "ms": "ms",
    "s": "s",
    "deg": "°",
    "db": "dB",
    "per_min": N_("a minute"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingView:
    """One finding.

    `excerpt` is the address of a drawing to scale, empty where the finding shows in no lead. `mark`
    is what the tracing shades, as JSON; `hides` is what cannot be trusted, in words; `row` is
    why it asks, by the policy; `electrode_apart` is whether the excerpt draws its electrode's part.
    """

    number: int
    kind: str
    asks: str
    shape: str
    sentence: str
    remedy: str
    further_remedies: tuple[str, ...]
    hides: str
    cables: tuple[Cable, ...]
    leads: str
    when: str
    sureness: str
    figures: tuple[tuple[str, str], ...]
    excerpt: str
    mark: str
    electrode_apart: bool
    row: str


def view_findings(opened: OpenedRecording, code: ColourCode) -> tuple[FindingView, ...]:
    """Every finding, weightiest first."""
    return tuple(
        _view_finding(opened, number, finding, code)
        for number, finding in enumerate(opened.assessment.findings, start=1)
    )


def _view_finding(
    opened: OpenedRecording, number: int, finding: Finding, code: ColourCode
) -> FindingView:
    evidence = shows_in_a_lead(opened.recording, finding)
    policy = opened.assessment.policy
    return FindingView(
        number=number,
        kind=say(finding.kind.value),
        asks=translate(_ASKS_WORDS[finding.asks]),
        shape=VERDICT_SHAPES[finding.asks],
        sentence=translate(finding.sentence),
        remedy=translate(finding.remedy),
        further_remedies=tuple(map(translate, finding.further_remedies)),
        hides=translate(say_hidden(finding.hides)),
        cables=tuple(make_cable(electrode, code) for electrode in finding.electrodes),
        leads=", ".join(finding.leads),
        when=_describe_spans(finding),
        sureness=describe_sureness(finding.confidence),
        figures=tuple(_name_figure(name, value) for name, value in finding.figures.items()),
        excerpt=f"/recordings/{opened.summary.id}/findings/{number}.svg" if evidence else "",
        mark=json.dumps({"leads": finding.leads, "spansS": finding.spans_s}),
        electrode_apart=is_drawn_apart(finding),
        row=translate(describe_row(policy.find_row_of(finding))) if policy else "",
    )


def describe_sureness(confidence: float) -> str:
    """A confidence in words and figures."""
    if confidence >= 0.9:
        word = _("Sure")
    elif confidence >= 0.7:
        word = _("Fairly sure")
    else:
        word = _("Not sure")
    return f"{word} ({format_share(confidence)})"


def _describe_spans(finding: Finding) -> str:
    if not finding.spans_s:
        return _("all through")
    spans = [
        f"{format_decimals(start, 1)}–{format_decimals(end, 1)} s"
        for start, end in finding.spans_s[:4]
    ]
    listed, more = ", ".join(spans), len(finding.spans_s) - len(spans)
    return _("%(spans)s and %(count)s more", spans=listed, count=more) if more else listed


def _name_figure(name: str, value: float) -> tuple[str, str]:
    """``noise_rms_uv: 120`` as ``("Noise rms", "120 µV")``."""
    for suffix, unit in _UNITS.items():
        if name.endswith(f"_{suffix}"):
            words = name.removesuffix(f"_{suffix}").replace("_", " ")
            return say(words), f"{format_number(value)} {translate(unit)}"
    return say(name.replace("_", " ")), format_number(value)
