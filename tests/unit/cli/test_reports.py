"""What a person reads: on a terminal, on a narrow one, without colour, and in a table."""

from __future__ import annotations

import re
from dataclasses import replace
from io import StringIO
from pathlib import Path

import numpy as np
import pytest
from rich.cells import cell_len
from rich.console import Console

from couchside.cli.check_report import report_recording
from couchside.cli.check_table import TableAnswer, make_line
from couchside.cli.consoles import make_answer_console
from couchside.cli.examine import Checked, NotRead
from couchside.cli.find_recordings import FoundFile
from couchside.cli.plain_words import printable
from couchside.cli.verdict_words import SHAPES, STYLES, WORDS
from couchside.errors import CorruptFile
from couchside.measures import Limits, Measured, MeasureName, Measures
from couchside.quality import check
from couchside.quality.model import Assessment, Finding, FindingKind, Hidden, Reading, Verdict
from couchside.recording import ColourCode, Electrode, Recording
from couchside.simulate import get_scenario, simulate
from couchside.waves.model import WaveBounds, Waves

NOTHING = np.empty((1, 0))
NO_BOUNDS = WaveBounds(onset=NOTHING, peak=NOTHING, offset=NOTHING)
RECORDING = Recording(leads=("I",), microvolts=np.zeros((1, 5000)), rate_hz=500.0)
LOST = Finding(
    kind=FindingKind.LOST_CONTACT,
    asks=Verdict.RECORD_AGAIN,
    sentence="The left-arm electrode has no contact.",
    remedy="Press it on, or put on a fresh one, and record again.",
    confidence=0.93,
    electrodes=(Electrode.LA,),
    leads=("I", "III"),
    spans_s=tuple((float(start), start + 0.5) for start in range(6)),
    hides=(Hidden(what=Reading.EVERYTHING, leads=("I", "III")), Hidden(what=Reading.AXIS)),
    further_remedies=("Try another cable.",),
)


def assess(*findings: Finding, verdict: Verdict = Verdict.RECORD_AGAIN) -> Assessment:
    return Assessment(
        verdict=verdict,
        findings=findings,
        measures=Measures(
            values=(
                Measured(
                    name=MeasureName.QRS_DURATION,
                    value=131.6,
                    unit="ms",
                    method="over all leads",
                    limits=Limits(low=None, high=110.0, population="adults", source="somebody"),
                    uncertainty=27.6,
                ),
                Measured(
                    name=MeasureName.P_AXIS,
                    value=None,
                    unit="deg",
                    method="net area",
                    reason="no P wave was found",
                ),
            )
        ),
        waves=Waves(
            leads=("I",),
            rate_hz=500.0,
            beat_samples=np.empty(0, dtype=np.int64),
            beat_groups=np.empty(0, dtype=np.int64),
            p=NO_BOUNDS,
            qrs=NO_BOUNDS,
            t=NO_BOUNDS,
            representative=None,
        ),
        electrode_noise=None,
        code_version="9.9.9",
    )


def report(assessment: Assessment, *, width: int = 80, is_terminal: bool = True) -> str:
    console = Console(
        file=StringIO(), width=width if is_terminal else 1000, force_terminal=is_terminal
    )
    report_recording(console, RECORDING, assessment, name="r.hea", colour_code=ColourCode.IEC)
    assert isinstance(console.file, StringIO)
    return re.sub(r"\x1b\[[0-9;]*m", "", console.file.getvalue())


def test_the_verdict_stands_first_then_why_and_what_to_do() -> None:
    lines = report(assess(LOST), is_terminal=False).splitlines()
    assert lines[0] == "↻  RECORD AGAIN"
    assert lines[1] == "r.hea"
    assert lines[4:10] == [
        "↻ The left-arm electrode has no contact.",
        "  → Press it on, or put on a fresh one, and record again.",
        "    then: Try another cable.",
        "  Not to be trusted: everything in I and III; axis",
        "  Where: left arm (L, yellow)",
        (
            "  lost contact (record again); 93% sure; leads I, III; "
            "at 0.0–0.5, 1.0–1.5, 2.0–2.5, 3.0–3.5 and 2 more s"
        ),
    ]


def test_a_measure_says_where_it_stands_or_why_there_is_none() -> None:
    out = report(assess(LOST), is_terminal=False)
    told = {line[:16].strip(): line[16:].split(maxsplit=1) for line in out.splitlines()}
    assert told["QRS duration"] == ["132", "± 28 ms     above limits, up to 110"]
    assert told["P axis"] == ["–", "not measured: no P wave was found"]
    assert "Limits are those of adults (somebody).\n" in out


def test_on_a_terminal_the_verdict_is_in_a_box_and_nothing_is_wider() -> None:
    for width in (40, 80):
        lines = report(assess(LOST), width=width).splitlines()
        assert lines[0].startswith("┏")
        assert "RECORD AGAIN" in lines[2]
        assert max(map(cell_len, lines)) <= width


def test_what_has_no_limits_says_so_and_each_people_is_named_once() -> None:
    def limited(name: MeasureName, limits: Limits | None) -> Measured:
        return Measured(name=name, value=300.0, unit="ms", method="x", limits=limits)

    def by(people: str, source: str) -> Limits:
        return Limits(low=None, high=400.0, population=people, source=source)

    values = (
        limited(MeasureName.QT_INTERVAL, by("adults", "one, centiles")),
        limited(MeasureName.QTC_HODGES, by("women", "two")),
        limited(MeasureName.P_DURATION, by("adults", "three")),
        limited(MeasureName.JT_INTERVAL, None),
    )
    out = report(replace(assess(), measures=Measures(values=values)), is_terminal=False)
    assert "Limits are those of adults (one; three), of women (two).\n" in out
    assert re.search(r"^JT interval +300 +ms +no limits$", out, re.MULTILINE)


def test_each_leads_waves_and_levels_are_told_where_they_are_asked_for() -> None:
    recording = simulate(get_scenario("early-ventricular-beats")).recording
    console = Console(file=StringIO(), width=80)
    report_recording(
        console,
        recording,
        check(recording),
        name="r.hea",
        colour_code=ColourCode.IEC,
        shows_leads=True,
    )
    assert isinstance(console.file, StringIO)
    lines = console.file.getvalue().splitlines()
    assert max(map(cell_len, lines)) <= 80
    head = next(at for at, line in enumerate(lines) if line.split()[:3] == ["P", "Q", "R"])
    assert [line.split()[0] for line in lines[head + 1 : head + 13]] == list(recording.leads)
    assert re.fullmatch(r"V4 +(−?\d\.\d\d|–)( +(−?\d\.\d\d|–)){11}", lines[head + 10])
    assert "2 groups of beats: 10 (QRS" in " ".join(" ".join(lines).split())


def test_nothing_noticed_is_said_in_words() -> None:
    out = report(assess(verdict=Verdict.KEEP), is_terminal=False)
    assert out.startswith("○  KEEP\n")
    assert "Nothing was noticed that speaks against reading it.\n" in out


def test_verdicts_differ_by_word_and_shape_and_not_by_colour_alone() -> None:
    for told in (WORDS, SHAPES, STYLES):
        assert len({told[verdict] for verdict in Verdict}) == len(Verdict)


def test_a_table_has_a_line_each_and_a_sum(capsys: pytest.CaptureFixture[str]) -> None:
    table = TableAnswer()
    table.add(make_line(checked("a.hea", assess(LOST, LOST, LOST))))
    table.add(make_line(checked("longer/name.hea", assess(verdict=Verdict.KEEP))))
    table.add(make_line(NotRead(file=found("b.dcm"), error=CorruptFile("b.dcm is cut\nshort"))))
    table.finish(passed_over_count=1)
    assert capsys.readouterr().out.splitlines() == [
        "↻ RECORD AGAIN      a.hea            lost contact LA; lost contact LA; and 1 more",
        "○ KEEP              longer/name.hea",
        "× NOT READ          b.dcm            b.dcm is cut short",
        "",
        "3 files: 1 keep, 0 keep with remark, 1 record again, 1 could not be read.",
        "1 file that is no recording was passed over.",
    ]


def test_no_color_is_obeyed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    assert make_answer_console().no_color


def test_text_from_outside_is_one_line_that_steers_nothing() -> None:
    assert printable("a\nb\tc\x1b[31m\x07d\u202ee") == "a b c�[31m�d�e"
    assert printable("µV, −aVR, 田中") == "µV, −aVR, 田中"


def found(name: str) -> FoundFile:
    return FoundFile(path=Path(name), must_be_recording=True)


def checked(name: str, assessment: Assessment) -> Checked:
    return Checked(file=found(name), recording=RECORDING, assessment=assessment)
