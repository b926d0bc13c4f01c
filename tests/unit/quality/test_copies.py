"""A chest lead that holds another lead's samples is told, and alike leads are not."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from couchside.quality import Finding, FindingKind, Reading, check
from couchside.quality.copies import check_copies, find_copies
from couchside.recording import Recording

FloatArray = NDArray[np.float64]
MakeRecording = Callable[..., Recording]


def _put(recording: Recording, name: str, signal: FloatArray) -> Recording:
    microvolts = recording.microvolts.copy()
    microvolts[recording.leads.index(name)] = np.round(signal)
    return replace(recording, microvolts=microvolts)


def _told(recording: Recording) -> list[Finding]:
    kinds = {FindingKind.LEAD_COPIED, FindingKind.LEADS_DISAGREE}
    return [found for found in check(recording).findings if found.kind in kinds]


def test_alike_leads_are_no_copies(make_recording: MakeRecording) -> None:
    assert list(find_copies(make_recording(), ())) == []


@pytest.mark.parametrize(
    ("factor", "late", "how"),
    [
        (1.0, 0, "is a copy."),
        (0.7, 0, "is a copy (0.7 times as high in V4 as in V3)."),
        (-1.0, 0, "is a copy (upside down)."),
        (1.0, 4, "is a copy (8 ms later in V4)."),
        (-1.3, -6, "is a copy (upside down, 1.3 times as high in V4 as in V3, 12 ms later in V3)."),
    ],
)
def test_a_copy_is_told_with_what_was_done_to_it(
    make_recording: MakeRecording, factor: float, late: int, how: str
) -> None:
    recording = make_recording()
    copy = factor * np.roll(np.round(recording.get_lead("V3")), late)
    recording = _put(recording, "V3", recording.get_lead("V3"))
    (found,) = _told(_put(recording, "V4", copy))
    assert found.sentence == f"Leads V3 and V4 hold one signal; one of them {how}"
    assert found.leads == ("V3", "V4")
    assert [hidden.what for hidden in found.hides] == [Reading.EVERYTHING]


def test_a_late_copy_of_a_lead_that_drifts_is_told(make_recording: MakeRecording) -> None:
    """The delay brings a jump of the whole drift to the start of the copy."""
    recording = make_recording()
    drifting = recording.get_lead("V3") + np.linspace(0.0, 3000.0, recording.sample_count)
    recording = _put(recording, "V3", drifting)
    (found,) = _told(_put(recording, "V4", np.roll(np.round(drifting), 4)))
    assert found.sentence.endswith("is a copy (8 ms later in V4).")


def test_of_a_limb_and_a_chest_lead_the_chest_lead_is_the_copy(
    make_recording: MakeRecording,
) -> None:
    recording = make_recording()
    (found,) = _told(_put(recording, "V2", recording.get_lead("aVF")))
    assert found.sentence == "Lead V2 is a copy of lead aVF."
    assert found.leads == ("V2",)


def test_a_limb_lead_that_breaks_the_sums_is_the_copy(make_recording: MakeRecording) -> None:
    recording = make_recording()
    (found,) = _told(_put(recording, "III", recording.get_lead("V2")))
    assert found.kind == FindingKind.LEAD_COPIED
    assert found.sentence == "Lead III is a copy of lead V2."


def test_lost_and_empty_leads_are_no_copies(make_recording: MakeRecording) -> None:
    recording = make_recording()
    copied = _put(recording, "V4", recording.get_lead("V3"))
    assert check_copies(copied, ("V4",), ()) == ()
    still = replace(recording, microvolts=np.zeros_like(recording.microvolts))
    assert check_copies(still, (), ()) == ()


def test_missing_samples_are_left_out(make_recording: MakeRecording) -> None:
    recording = make_recording()
    copied = _put(recording, "V4", recording.get_lead("V3")).microvolts.copy()
    copied[:, 1000:1200] = np.nan
    assert len(list(find_copies(replace(recording, microvolts=copied), ()))) == 1


@pytest.mark.parametrize("high_uv", [0.0, 1e12])
def test_leads_that_never_change_are_no_copies(high_uv: float) -> None:
    """Rounding alone gives the mean square of a row of 1e12 some power."""
    still = Recording(
        leads=("V1", "V2", "V3"), microvolts=np.full((3, 2300), high_uv), rate_hz=500.0
    )
    assert list(find_copies(still, ())) == []


def test_a_single_step_at_the_end_is_no_copy() -> None:
    """What is left of one of two delayed leads can hold nothing at all."""
    microvolts = np.zeros((2, 2000))
    microvolts[0, -1] = 5000.0
    microvolts[1, 0] = 5000.0
    steps = Recording(leads=("V1", "V2"), microvolts=microvolts, rate_hz=500.0)
    assert list(find_copies(steps, ())) == []
