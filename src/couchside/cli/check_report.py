"""One recording's answer for a person at a terminal: verdict, remedy, findings, measures."""

from __future__ import annotations

from rich import box
from rich.console import Console, RenderableType
from rich.panel import Panel
from rich.text import Text

from couchside.cli.consoles import say
from couchside.cli.lead_report import report_leads
from couchside.cli.plain_words import printable
from couchside.cli.rhythm_report import report_rhythm, report_tell_now
from couchside.cli.verdict_words import SHAPES, STYLES, WORDS
from couchside.measures.model import Limits, Measured, Measures, Standing
from couchside.measures.names import TABLE_NAMES
from couchside.quality.model import Assessment, Finding, PolicyAnswer, Verdict
from couchside.quality.wording import describe_row, say_hidden
from couchside.recording import ColourCode, Recording, describe_electrode

CAUTION = "Not a medical device; it never diagnoses. A clinician reads every ECG."
_UNITS = {"deg": "°"}
_LABEL_WIDTH = max(map(len, TABLE_NAMES.values())) + 1


def report_recording(
    console: Console,
    recording: Recording,
    assessment: Assessment,
    *,
    name: str,
    colour_code: ColourCode,
    shows_leads: bool = False,
) -> None:
    """Print the verdict first and large, then what it rests on."""
    console.print(_headline(assessment.verdict, as_box=console.is_terminal))
    report_tell_now(console, assessment.tell_now)
    say(console, Text(printable(name), style="bold"))
    say(console, Text(_describe(recording)))
    console.print()
    for finding in assessment.findings:
        _report_finding(console, finding, colour_code, _name_row(assessment, finding))
    if not assessment.findings:
        say(console, Text("Nothing was noticed that speaks against reading it."))
        console.print()
    _report_policy(console, assessment.policy)
    for measured in assessment.measures:
        say(console, Text(_measure(measured)), indent=4, hangs=True)
    report_rhythm(console, assessment.measures)
    if shows_leads:
        report_leads(console, assessment.measures)
    say(console, Text(printable(_populations(assessment.measures)), style="dim"))
    console.print()
    say(console, Text(f"Couchside {assessment.code_version}. {CAUTION}", style="dim"))


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


def _report_finding(console: Console, finding: Finding, colour_code: ColourCode, row: str) -> None:
    sentence = Text(f"{SHAPES[finding.asks]} ", style=STYLES[finding.asks])
    say(console, sentence.append(printable(finding.sentence), style="default not bold"))
    for place, remedy in enumerate(finding.remedies):
        led = Text("→ " if place == 0 else "  then: ")
        style = "bold" if place == 0 else ""
        say(console, led.append(printable(remedy), style=style), indent=2)
    if finding.hides:
        say(console, Text(f"Not to be trusted: {printable(say_hidden(finding.hides))}"), indent=2)
    if finding.electrodes:
        places = (describe_electrode(each, colour_code) for each in finding.electrodes)
        say(console, Text(f"Where: {', '.join(places)}"), indent=2)
    say(console, Text(_evidence(finding), style="dim"), indent=2)
    say(console, Text(f"Why: {printable(row)}", style="dim"), indent=2)
    console.print()


def _name_row(assessment: Assessment, finding: Finding) -> str:
    fired = assessment.policy.find_row_of(finding) if assessment.policy else None
    return describe_row(fired)


def _report_policy(console: Console, policy: PolicyAnswer | None) -> None:
    """The remark for the reader, and what is wrong with the department's policy."""
    if policy is None:
        return
    if policy.problem:
        say(console, Text(printable(policy.problem), style="bold"))
    if policy.remark:
        say(console, Text(f"Remark for the reader: {printable(policy.remark)}"))
    if policy.problem or policy.remark:
        console.print()


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


def _measure(measured: Measured) -> str:
    if measured.value is None:
        value, unit, told = "–", "", f"not measured: {printable(measured.reason)}"
    else:
        value, told = measured.number, _standing(measured)
        unit = _UNITS.get(measured.unit, measured.unit)
    amount = f"{value:>6} {_half_width(measured):<5}{unit:<6}"
    return f"{TABLE_NAMES[measured.name]:<{_LABEL_WIDTH}}{amount} {told}"


def _half_width(measured: Measured) -> str:
    return "" if measured.uncertainty is None else f"± {measured.uncertainty:.0f}"


def _standing(measured: Measured) -> str:
    if measured.limits is None or measured.standing is Standing.NO_LIMITS:
        return str(Standing.NO_LIMITS)
    return f"{measured.standing}, {_range(measured.limits)}"


def _range(limits: Limits) -> str:
    if limits.low is None:
        return f"{'below' if limits.high_is_outside else 'up to'} {limits.high:g}"
    if limits.high is None:
        return f"from {limits.low:g}"
    return f"{limits.low:g} to {limits.high:g}"


def _populations(measures: Measures) -> str:
    """Whose limits were used, each people once, with the tables that speak of them."""
    tables: dict[str, dict[str, None]] = {}
    for limits in (each.limits for each in measures):
        if limits is not None:
            tables.setdefault(limits.population, {})[limits.short_source] = None
    told = [f"{people} ({'; '.join(sources)})" for people, sources in tables.items()]
    return f"Limits are those of {', of '.join(told)}." if told else "No limits apply."
