"""The verdict policy: which row fires, what it asks, and the remark that it writes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from couchside.errors import InvalidInput
from couchside.quality import Finding, FindingKind, Hidden, Reading, Verdict, check
from couchside.quality.policy import apply_policy, find_row
from couchside.quality.policy_reading import (
    SHIPPED_FILE,
    get_shipped_policy,
    get_shipped_text,
    parse_policy,
)
from couchside.recording import CHEST_LEADS_AS_PLACED, Electrode, Patient, Recording

FloatArray = NDArray[np.float64]
MakeRecording = Callable[..., Recording]

OURS = """title = "Ward policy"
owner = "Dr Ashgrove"

[[row]]
name = "tremor in limb leads alone"
kinds = ["muscle tremor"]
at_least = { tremor_rms_uv = 50 }
leads = ["I", "II", "III"]
in_leads = 2
hides = ["P wave"]
confidence_at_least = 0.5
asks = "record again"
source = "our own"

[[row]]
name = "any tremor"
kinds = ["muscle tremor"]
asks = "keep with remark"
remark = "Tremor in {leads} from {electrodes} {when}; {hidden} with care."
source = "our own"
"""

TREMOR = Finding(
    kind=FindingKind.MUSCLE_TREMOR,
    asks=Verdict.KEEP,
    sentence="Muscle tremor from the right-arm electrode.",
    remedy="If you record again, rest the right arm on the couch.",
    confidence=0.8,
    electrodes=(Electrode.RA,),
    leads=("I", "II"),
    spans_s=((1.0, 3.0),),
    figures={"tremor_rms_uv": 60.0},
    hides=(Hidden(what=Reading.P_WAVE, leads=("I",)),),
)


def _apply(
    text: str, found: Finding, make_recording: MakeRecording
) -> tuple[Finding, tuple[str, ...], str]:
    policy = parse_policy(text, "ours.toml")
    (told,), answer = apply_policy(policy, [found], make_recording())
    return told, tuple(fired.row for fired in answer.rows), answer.remark


def test_first_row_that_fits_decides(make_recording: MakeRecording) -> None:
    told, rows, _ = _apply(OURS, TREMOR, make_recording)

    assert told.asks == Verdict.RECORD_AGAIN
    assert rows == ("tremor in limb leads alone",)
    assert told.remedy == "Rest the right arm on the couch, then record again."


@pytest.mark.parametrize(
    "change",
    [
        {"figures": {"tremor_rms_uv": 49.9}},
        {"figures": {}},
        {"leads": ("I", "V1")},
        {"hides": (Hidden(what=Reading.QRS, leads=("I",)),)},
        {"confidence": 0.49},
    ],
)
def test_each_condition_must_be_met(
    change: dict[str, object], make_recording: MakeRecording
) -> None:
    found = replace(TREMOR, **change)  # type: ignore[arg-type]

    told, rows, _ = _apply(OURS, found, make_recording)

    assert told.asks == Verdict.KEEP_WITH_REMARK
    assert rows == ("any tremor",)


def test_what_no_row_fits_is_for_information(make_recording: MakeRecording) -> None:
    found = replace(TREMOR, kind=FindingKind.MAINS, asks=Verdict.RECORD_AGAIN)

    told, rows, remark = _apply(OURS, found, make_recording)

    assert (told.asks, rows, remark) == (Verdict.KEEP, (), "")


def test_row_writes_the_remark_for_the_reader(make_recording: MakeRecording) -> None:
    _, _, remark = _apply(OURS, replace(TREMOR, confidence=0.1), make_recording)

    assert remark == "Tremor in I and II from the right-arm electrode at 1–3 s; P wave with care."


def test_many_rows_still_make_two_sentences(
    make_recording: MakeRecording, time_s: FloatArray
) -> None:
    hum = 40.0 * np.sqrt(2) * np.sin(2 * np.pi * 50.0 * time_s)
    sway = 1200.0 * np.sin(2 * np.pi * 0.3 * time_s)
    recording = make_recording(
        at={Electrode.C3: hum, Electrode.LL: sway}, patient=Patient(), rate_hz=500.0
    )
    answer = check(recording).policy

    assert answer is not None
    assert len({fired.row for fired in answer.rows if fired.remark}) >= 3
    assert "Also: " in answer.remark
    assert answer.remark.count(". ") == 1


def test_share_of_time_comes_from_the_spans() -> None:
    text = OURS.replace("tremor_rms_uv = 50", "share_of_time = 0.2")
    policy = parse_policy(text, "ours.toml")

    short = find_row(policy, TREMOR, duration_s=10.1)
    long = find_row(policy, TREMOR, duration_s=10.0)

    assert short is not None
    assert short.name == "any tremor"
    assert long is not None
    assert long.name == "tremor in limb leads alone"


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('kinds = ["muscle tremor"]', 'kinds = ["shivering"]', "line 6: kinds names 'shivering'"),
        ('kinds = ["muscle tremor"]\n', "", "line 4: kinds is missing; list the kinds"),
        ('asks = "record again"', 'asks = "again"', "line 12: asks is 'again'; choose from keep,"),
        ('asks = "record again"\n', "", "line 4: asks is missing"),
        ("tremor_rms_uv = 50", "shaking = 50", "line 7: at_least names 'shaking'; there are"),
        ("tremor_rms_uv = 50", 'tremor_rms_uv = "50"', "line 7: at_least has tremor_rms_uv = '50'"),
        ("in_leads = 2", "in_leads = 4", "line 9: in_leads is 4; give 1 to 3"),
        ('leads = ["I", "II", "III"]', 'leads = ["I", 2]', "line 8: leads is no list of lead"),
        ('hides = ["P wave"]', 'hides = ["P"]', "line 10: hides names 'P'; choose from"),
        ("confidence_at_least = 0.5", "confidence_at_least = 50", "line 11: confidence_at_least"),
        ('source = "our own"\n\n', "\n", "line 4: source is missing"),
        ('name = "any tremor"', 'name = "tremor in limb leads alone"', "line 16: name .* is taken"),
        ("{electrodes}", "{electrode}", "line 19: remark has {electrode}, which cannot"),
        ("{electrodes}", "{electrodes", "line 19: remark has a stray brace"),
        ('remark = "Tremor', 'note = "Tremor', "line 19: note is not known here; known are"),
        ('title = "Ward policy"\n', "", "line 1: title is missing"),
    ],
)
def test_what_is_broken_is_named_with_its_line(old: str, new: str, told: str) -> None:
    with pytest.raises(InvalidInput, match=rf"^ours\.toml.*{told}") as caught:
        parse_policy(OURS.replace(old, new, 1), "ours.toml")
    assert "\n" not in str(caught.value)


def test_remark_row_without_a_remark_is_refused() -> None:
    lines = [line for line in OURS.splitlines() if not line.startswith("remark")]
    with pytest.raises(InvalidInput, match="line 15: remark is missing; write what the reader"):
        parse_policy("\n".join(lines), "ours.toml")


def test_shipped_policy_is_whole_and_says_that_it_is_shipped() -> None:
    policy = get_shipped_policy()

    assert policy.is_example
    assert parse_policy(get_shipped_text(), SHIPPED_FILE).digest == policy.digest
    assert all(row.source for row in policy.rows)
    spoken_of = {kind for row in policy.rows for kind in row.kinds}
    assert set(FindingKind) - spoken_of <= {FindingKind.FILTER_NOT_STATED}


def test_own_policy_changes_the_verdict(make_recording: MakeRecording, time_s: FloatArray) -> None:
    hum = 150.0 * np.sin(2 * np.pi * 50.0 * time_s)
    recording = make_recording(at={Electrode.C3: hum})
    text = OURS.replace("muscle tremor", "mains interference").replace(
        "tremor_rms_uv", "mains_rms_uv"
    )

    shipped, own = check(recording), check(recording, parse_policy(text, "ours.toml"))

    assert shipped.verdict == Verdict.RECORD_AGAIN
    assert own.verdict == Verdict.KEEP_WITH_REMARK
    assert own.findings[0].remedy.startswith("If you record again, ")


def test_missing_leads_of_every_placement_end_the_reading(make_recording: MakeRecording) -> None:
    assert CHEST_LEADS_AS_PLACED
    without_v2 = tuple(lead for lead in make_recording().leads if lead != "V2")
    without_iii = tuple(lead for lead in make_recording().leads if lead != "III")

    assert check(make_recording(leads=without_v2)).verdict == Verdict.RECORD_AGAIN
    assert check(make_recording(leads=without_iii)).verdict == Verdict.KEEP
