"""One recording's answer for a person at a terminal: verdict, remedy, findings, measures."""

from __future__ import annotations

from collections.abc import Iterator

from rich import box
from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.panel import Panel
from rich.table import Table
from rich.text import Text

from couchside.cli.plain_words import printable
from couchside.cli.verdict_words import SHAPES, STYLES, WORDS
from couchside.measures.model import Limits, Measured, MeasureName, Standing
from couchside.quality.model import Assessment, Finding, Verdict
from couchside.recording import ColourCode, Recording, describe_electrode

CAUTION = "Not a medical device; it never diagnoses. A clinician reads every ECG."
MEASURE_LABELS = {
    MeasureName.HEART_RATE: "Heart rate",
    MeasureName.P_DURATION: "P",
    MeasureName.PR_INTERVAL: "PR",
    MeasureName.QRS_DURATION: "QRS",
    MeasureName.QT_INTERVAL: "QT",
    MeasureName.QTC_BAZETT: "QTc Bazett",
    MeasureName.QTC_FRIDERICIA: "QTc Fridericia",
    MeasureName.QTC_FRAMINGHAM: "QTc Framingham",
    MeasureName.QTC_HODGES: "QTc Hodges",
    MeasureName.P_AXIS: "P axis",
    MeasureName.QRS_AXIS: "QRS axis",
    MeasureName.T_AXIS: "T axis",
}
_UNITS = {"deg": "°"}


def report_recording(
    console: Console,
    recording: Recording,
    assessment: Assessment,
    *,
    name: str,
    colour_code: ColourCode,
) -> None:
    """Print the verdict first and large, then what it rests on."""
    console.print(_headline(assessment.verdict, as_box=console.is_terminal))
    console.print(Text(printable(name), style="bold"))
    console.print(Text(_describe(recording)))
    console.print()
    console.print(_findings(assessment.findings, colour_code))
    console.print(_measures(assessment))
    console.print(Text(f"Couchside {assessment.code_version}. {CAUTION}", style="dim"))


def _headline(verdict: Verdict, *, as_box: bool) -> RenderableType:
    word = Text(f"{SHAPES[verdict]}  {WORDS[verdict]}", style=STYLES[verdict])
    if not as_box:
        return word
    return Panel.fit(word, box=box.HEAVY, padding=(1, 4), border_style=STYLES[verdict])


def _describe(recording: Recording) -> str:
    parts = [
        recording.origin.format_name if recording.origin else "",
        f"{len(recording.leads)} lead{'s' if len(recording.leads) > 1 else ''}",
        f"{recording.duration_s:.4g} s at {recording.rate_hz:.6g} Hz",
        f"{recording.start:%Y-%m-%d %H:%M}" if recording.start else "no start time stated",
    ]
    return printable(", ".join(part for part in parts if part))


def _findings(findings: tuple[Finding, ...], colour_code: ColourCode) -> RenderableType:
    if not findings:
        return Text("Nothing was noticed that speaks against reading it.\n")
    return Group(*(part for finding in findings for part in _finding(finding, colour_code)))


def _finding(finding: Finding, colour_code: ColourCode) -> Iterator[RenderableType]:
    sentence = Text(f"{SHAPES[finding.asks]} ", style=STYLES[finding.asks])
    sentence.append(printable(finding.sentence), style="default not bold")
    yield sentence
    if finding.remedy:
        yield _indent(Text("→ ").append(printable(finding.remedy), style="bold"))
    if finding.electrodes:
        places = (describe_electrode(each, colour_code) for each in finding.electrodes)
        yield _indent(Text(f"Where: {', '.join(places)}"))
    yield _indent(Text(_evidence(finding), style="dim"))
    yield Text()


def _indent(text: Text) -> RenderableType:
    return Padding(text, (0, 0, 0, 2))


def _evidence(finding: Finding) -> str:
    parts = [f"{finding.kind} ({_asks(finding)})", f"{finding.confidence:.0%} sure"]
    if finding.leads:
        parts.append(f"leads {', '.join(finding.leads)}")
    if finding.spans_s:
        parts.append(_spans(finding.spans_s))
    return printable("; ".join(parts))


def _asks(finding: Finding) -> str:
    return "for information" if finding.asks is Verdict.KEEP else str(finding.asks)


def _spans(spans_s: tuple[tuple[float, float], ...]) -> str:
    shown = ", ".join(f"{start:.1f}–{end:.1f}" for start, end in spans_s[:4])
    more = f" and {len(spans_s) - 4} more" if len(spans_s) > 4 else ""
    return f"at {shown}{more} s"


def _measures(assessment: Assessment) -> RenderableType:
    table = Table.grid(padding=(0, 2))
    table.add_column(no_wrap=True)
    table.add_column(justify="right", no_wrap=True)
    table.add_column(no_wrap=True)
    table.add_column()
    for measured in assessment.measures:
        table.add_row(*(Text(cell) for cell in _measure_cells(measured)))
    return Padding(table, (0, 0, 1, 0))


def _measure_cells(measured: Measured) -> tuple[str, str, str, str]:
    label = MEASURE_LABELS[measured.name]
    if measured.value is None:
        return label, "–", "", f"not measured: {printable(measured.reason)}"
    unit = _UNITS.get(measured.unit, measured.unit)
    return label, f"{measured.value:.0f}", unit, _standing(measured)


def _standing(measured: Measured) -> str:
    if measured.limits is None or measured.standing is Standing.NO_LIMITS:
        return ""
    return f"{measured.standing} ({_range(measured.limits)}, {measured.limits.population})"


def _range(limits: Limits) -> str:
    if limits.low is None:
        return f"up to {limits.high:g}"
    if limits.high is None:
        return f"from {limits.low:g}"
    return f"{limits.low:g} to {limits.high:g}"
