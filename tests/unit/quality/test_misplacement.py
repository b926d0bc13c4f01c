"""V1 and V2 too high: told by P, and kept silent of where P says nothing."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from couchside.quality import Assessment, Finding, FindingKind, Verdict, check
from couchside.quality.folding import without_consequences
from couchside.quality.interchange import BeatFeatures
from couchside.quality.misplacement import check_misplacement, looks_too_high
from couchside.recording import Electrode, Patient, Placement, Recording
from couchside.simulate import exchange, simulate
from couchside.simulate.population import random_scenario
from couchside.waves import delineate

SHOWS = 22
"""Seed of an adult in whom the sign shows with V1 and V2 too high, and not with them in place."""
TOO_HIGH = replace(random_scenario(SHOWS), placed_as=Placement.HIGH)


@pytest.fixture(scope="module")
def too_high() -> Recording:
    return simulate(TOO_HIGH).recording


def _told(assessment: Assessment) -> list[Finding]:
    return [each for each in assessment.findings if each.kind is FindingKind.MISPLACED]


def _signed(v1_uv: list[float], v2_uv: list[float], foot_uv: float = 60.0) -> BeatFeatures:
    """P of four quarters in V1 and V2; the arms are as far below zero as the foot is above."""
    potentials = np.zeros((9, 24))
    potentials[:3, :4] = [[-foot_uv / 2], [-foot_uv / 2], [foot_uv]]
    potentials[3, :4], potentials[4, :4] = v1_uv, v2_uv
    return BeatFeatures(potentials_uv=potentials, has_p=True)


def test_it_is_a_remark_that_names_v1_and_v2(too_high: Recording) -> None:
    assessment = check(too_high)
    (found,) = _told(assessment)
    assert found.asks is Verdict.KEEP_WITH_REMARK
    assert assessment.verdict is Verdict.KEEP_WITH_REMARK
    assert found.electrodes == (Electrode.C1, Electrode.C2)
    assert "fourth intercostal space" in found.remedy
    assert found.confidence <= 0.6
    assert assessment.policy is not None
    assert assessment.policy.remark.startswith("V1 and V2 may have been an interspace too high")


def test_the_same_person_with_them_in_place_is_not_remarked_on() -> None:
    assert _told(check(simulate(random_scenario(SHOWS)).recording)) == []


def test_both_leads_must_show_it() -> None:
    down, biphasic, up = [-20.0, -60.0, -40.0, -5.0], [30.0, 20.0, -30.0, -10.0], [30.0] * 4
    assert looks_too_high(_signed(down, biphasic))
    assert not looks_too_high(_signed(down, up))
    assert not looks_too_high(_signed(biphasic, biphasic))


def test_p_that_points_away_from_the_feet_says_nothing() -> None:
    down = [-20.0, -60.0, -40.0, -5.0]
    assert not looks_too_high(_signed(down, down, foot_uv=-60.0))


def test_without_p_it_says_nothing() -> None:
    down = [-20.0, -60.0, -40.0, -5.0]
    assert not looks_too_high(replace(_signed(down, down), has_p=False))


@pytest.mark.parametrize(
    "changed",
    [
        {"placement": Placement.HIGH},
        {"placement": Placement.TORSO},
        {"patient": Patient(stated_age_years=9.0)},
    ],
)
def test_silent_where_it_is_stated_and_of_children(
    too_high: Recording, changed: dict[str, object]
) -> None:
    recording = replace(too_high, **changed)  # type: ignore[arg-type]
    assert check_misplacement(recording, delineate(recording), ()) == ()


def test_silent_with_a_wide_qrs(too_high: Recording) -> None:
    waves = delineate(too_high)
    beat = waves.representative
    assert beat is not None
    onset = beat.overall.qrs_offset - 0.121 * beat.rate_hz
    wide = replace(beat, overall=replace(beat.overall, qrs_onset=onset))
    assert check_misplacement(too_high, replace(waves, representative=wide), ()) == ()


def test_silent_of_paced_beats(too_high: Recording) -> None:
    """Spikes of two samples before each QRS, in the samples alone."""
    waves = delineate(too_high)
    microvolts = too_high.microvolts.copy()
    for beat in waves.beat_samples.tolist():
        microvolts[:, beat - 60 : beat - 58] += 2000.0
    paced = replace(too_high, microvolts=microvolts)
    assert check_misplacement(paced, waves, ()) == ()


def test_silent_where_a_lead_is_spoiled(too_high: Recording) -> None:
    assert check_misplacement(too_high, delineate(too_high), ("V4",)) == ()


def test_silent_beside_exchanged_cables(too_high: Recording) -> None:
    cables = exchange(Electrode.RA, Electrode.LA)
    kinds = {
        each.kind for each in check(simulate(replace(TOO_HIGH, cables=cables)).recording).findings
    }
    assert FindingKind.CABLES_EXCHANGED in kinds
    assert FindingKind.MISPLACED not in kinds


def test_exchanged_cables_take_its_place(too_high: Recording) -> None:
    (found,) = _told(check(too_high))
    cables = replace(found, kind=FindingKind.CABLES_EXCHANGED)
    assert without_consequences((cables, found), too_high.leads) == (cables,)
