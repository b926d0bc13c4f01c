"""What a page's later pages say: decision, remarks, findings with remedies, measures, facts."""

from __future__ import annotations

from couchside.measures.lead_words import LEAD_HEADS, LEADS_NOTE, list_lead_rows
from couchside.measures.model import Measured, Measures
from couchside.measures.names import TABLE_NAMES
from couchside.measures.rhythm_words import describe_groups
from couchside.measures.tell_now import CALL, TellNow
from couchside.paper.continued import Column, Section
from couchside.paper.measure_words import (
    QUOTED,
    STANDING_WORDS,
    UNCHECKED_NOTE,
    describe_population,
    format_half_width,
    format_limits,
    format_value,
    has_unchecked,
)
from couchside.paper.report import NOTHING_NOTICED, Remarks
from couchside.quality.model import Assessment, Finding, PolicyAnswer, Verdict
from couchside.quality.wording import describe_row, say_hidden

_TEXT_MM = 200.0
_ONE_COLUMN = (Column(left_mm=0.0, width_mm=_TEXT_MM),)
_FINDING_COLUMNS = (
    Column(left_mm=0.0, width_mm=34.0, is_bold=True),
    Column(left_mm=36.0, width_mm=126.0),
    Column(left_mm=166.0, width_mm=99.0),
)
_MEASURE_COLUMNS = (
    Column(left_mm=0.0, width_mm=30.0),
    Column(left_mm=30.0, width_mm=25.0, is_bold=True, is_flush_right=True),
    Column(left_mm=56.0, width_mm=23.0, is_flush_right=True),
    Column(left_mm=81.0, width_mm=15.0),
    Column(left_mm=98.0, width_mm=92.0),
    Column(left_mm=193.0, width_mm=72.0),
)
_LEAD_COLUMNS = (
    Column(left_mm=0.0, width_mm=20.0, is_bold=True),
    *(
        Column(left_mm=20.0 + 18.0 * place, width_mm=15.0, is_flush_right=True)
        for place in range(len(LEAD_HEADS))
    ),
)
ASKS_WORDS = {
    Verdict.KEEP: "for information",
    Verdict.KEEP_WITH_REMARK: "keep with remark",
    Verdict.RECORD_AGAIN: "record again",
}


def list_sections(
    assessment: Assessment | None, remarks: Remarks, tell_now: TellNow | None, facts: list[str]
) -> list[Section]:
    """Everything that the first page may have cut, in full.

    Parameters
    ----------
    assessment : Assessment or None
        Its findings and measures are told.
    remarks : list
        Decision and remarks.
    tell_now : TellNow or None
        Given where the band on the first page has no room for all of it.
    facts : list of str
        Given where the footer of the first page has no room for all of them.
    """
    sections = [_section(CALL, [item.told for item in tell_now.items])] if tell_now else []
    if remarks:
        sections.append(_section("Decision, symptoms, remarks", [words for words, _ in remarks]))
    if assessment is not None:
        sections += [
            _tell_findings(assessment.findings),
            *_tell_policy(assessment.policy),
            _tell_measures(assessment.measures),
            *_tell_leads(assessment.measures),
        ]
    return [*sections, *([_section("Recording and page", facts)] if facts else [])]


def _section(title: str, paragraphs: list[str]) -> Section:
    return Section(
        title=title, columns=_ONE_COLUMN, entries=tuple((words,) for words in paragraphs)
    )


def _tell_findings(findings: tuple[Finding, ...]) -> Section:
    if not findings:
        return _section("Findings", [NOTHING_NOTICED])
    told = [(ASKS_WORDS[each.asks], _tell_finding(each), _tell_remedies(each)) for each in findings]
    return Section(title="Findings, and what to do", columns=_FINDING_COLUMNS, entries=tuple(told))


def _tell_policy(policy: PolicyAnswer | None) -> list[Section]:
    """The remark for the reader, and the rows that fired."""
    if policy is None or not policy.rows:
        return []
    rows = dict.fromkeys(describe_row(fired) for fired in policy.rows)
    remark = [f"Remark for the reader: {policy.remark}"] if policy.remark else []
    why = [f"{row[0].upper()}{row[1:]}." for row in rows]
    return [_section(f"Why, by the {policy.title}", [*remark, *why])]


def _tell_finding(finding: Finding) -> str:
    hidden = say_hidden(finding.hides)
    return f"{finding.sentence} Not to be trusted: {hidden}." if hidden else finding.sentence


def _tell_remedies(finding: Finding) -> str:
    """In the order in which to try them, numbered where there are several."""
    if len(finding.remedies) < 2:
        return finding.remedy
    return " ".join(f"{place}. {words}" for place, words in enumerate(finding.remedies, start=1))


def _tell_measures(measures: Measures) -> Section:
    choice = measures.qtc_choice
    told = [_tell_measure(each, is_quoted=choice is not None and each.name == choice.name)
            for each in measures]  # fmt: skip
    notes = [f"{QUOTED} {choice.sentence}"] if choice is not None else []
    notes += [UNCHECKED_NOTE] if has_unchecked(measures) else []
    entries = [*told, *(("", "", "", "", note, "") for note in notes)]
    return Section(
        title="Measures, whose limits, and method",
        columns=_MEASURE_COLUMNS,
        entries=tuple(entries),
    )


def _tell_leads(measures: Measures) -> list[Section]:
    """Waves and ST level of each lead, and the groups of beats."""
    rows = list_lead_rows(measures.leads)
    if not rows:
        return []
    groups = describe_groups(measures.rhythm) if measures.rhythm is not None else ""
    notes = [LEADS_NOTE, *([f"{groups}."] if groups else [])]
    table = Section(
        title="Each lead, in mV",
        columns=_LEAD_COLUMNS,
        entries=(("", *LEAD_HEADS), *((row.lead, *row.numbers) for row in rows)),
    )
    return [table, _section("About each lead", notes)]


def _tell_measure(measured: Measured, *, is_quoted: bool) -> tuple[str, ...]:
    limits = measured.limits
    whose = describe_population(limits, limits.source) if limits is not None else ""
    name = TABLE_NAMES[measured.name] + (f" {QUOTED}" if is_quoted else "")
    return (
        name,
        f"{format_value(measured)} {format_half_width(measured)}".rstrip(),
        "" if measured.value is None else format_limits(limits),
        STANDING_WORDS[measured.standing],
        measured.reason or whose,
        measured.method,
    )
