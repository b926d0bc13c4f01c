"""The findings, each with the stretch of tracing that shows it."""

from __future__ import annotations

import json
from dataclasses import dataclass

from couchside.quality.model import Finding, Verdict
from couchside.quality.wording import say_hidden
from couchside.recording import ColourCode
from couchside.service import OpenedRecording
from couchside.web.contexts.electrode_view import Cable, make_cable
from couchside.web.contexts.evidence import choose_evidence
from couchside.web.wording import VERDICT_SHAPES, format_number, sentence_case

_ASKS_WORDS = {
    Verdict.KEEP: "For information",
    Verdict.KEEP_WITH_REMARK: "Wants a remark",
    Verdict.RECORD_AGAIN: "Record again",
}
_UNITS = {
    "uv": "µV",
    "mv": "mV",
    "hz": "Hz",
    "ms": "ms",
    "s": "s",
    "deg": "°",
    "db": "dB",
    "per_min": "a minute",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingView:
    """One finding.

    `excerpt` is the address of a drawing to scale, empty where the finding shows in no lead. `mark`
    is what the tracing shades, as JSON; `hides` is what cannot be trusted, in words.
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


def view_findings(opened: OpenedRecording, code: ColourCode) -> tuple[FindingView, ...]:
    """Every finding, weightiest first."""
    return tuple(
        _view_finding(opened, number, finding, code)
        for number, finding in enumerate(opened.assessment.findings, start=1)
    )


def _view_finding(
    opened: OpenedRecording, number: int, finding: Finding, code: ColourCode
) -> FindingView:
    evidence = choose_evidence(opened, finding)
    return FindingView(
        number=number,
        kind=sentence_case(finding.kind.value),
        asks=_ASKS_WORDS[finding.asks],
        shape=VERDICT_SHAPES[finding.asks],
        sentence=finding.sentence,
        remedy=finding.remedy,
        further_remedies=finding.further_remedies,
        hides=say_hidden(finding.hides),
        cables=tuple(make_cable(electrode, code) for electrode in finding.electrodes),
        leads=", ".join(finding.leads),
        when=_describe_spans(finding),
        sureness=describe_sureness(finding.confidence),
        figures=tuple(_name_figure(name, value) for name, value in finding.figures.items()),
        excerpt=f"/recordings/{opened.summary.id}/findings/{number}.svg" if evidence else "",
        mark=json.dumps({"leads": finding.leads, "spansS": finding.spans_s}),
    )


def describe_sureness(confidence: float) -> str:
    """A confidence in words and figures."""
    if confidence >= 0.9:
        word = "Sure"
    elif confidence >= 0.7:
        word = "Fairly sure"
    else:
        word = "Not sure"
    return f"{word} ({confidence:.0%})"


def _describe_spans(finding: Finding) -> str:
    if not finding.spans_s:
        return "all through"
    spans = [f"{start:.1f}–{end:.1f} s" for start, end in finding.spans_s[:4]]
    more = len(finding.spans_s) - len(spans)
    return ", ".join(spans) + (f" and {more} more" if more else "")


def _name_figure(name: str, value: float) -> tuple[str, str]:
    """``noise_rms_uv: 120`` as ``("Noise rms", "120 µV")``."""
    for suffix, unit in _UNITS.items():
        if name.endswith(f"_{suffix}"):
            words = name.removesuffix(f"_{suffix}").replace("_", " ")
            return sentence_case(words), f"{format_number(value)} {unit}"
    return sentence_case(name.replace("_", " ")), format_number(value)
