"""Electrodes beside their place: told by sign and likeness, silent where neither says much."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import numpy as np
import pytest

from couchside.quality import Assessment, Finding, FindingKind, Verdict, check
from couchside.quality.displacement import Displacement, gain_of_putting_back, get_mixtures
from couchside.quality.folding import without_consequences
from couchside.quality.interchange import BeatFeatures, find_features
from couchside.quality.misplacement import (
    LEAST_GAIN,
    ChangeSince,
    check_misplacement,
    choose_by_change,
    has_larger_r_in_v6,
    has_negative_p_in_v1,
    has_smaller_r_in_v6,
    is_vertical,
)
from couchside.quality.misplacement_remarks import write_remark
from couchside.recording import CHEST_ELECTRODES, Electrode, Patient, Placement, Recording
from couchside.simulate import ElectrodeShift, Scenario, exchange, get_scenario, simulate
from couchside.simulate.population import random_scenario
from couchside.waves import Waves, delineate

SHOWS = 25
"""Seed of an adult in whom each displacement shows, and none with the electrodes in place."""
IN_PLACE = random_scenario(SHOWS)
TOO_HIGH = replace(
    IN_PLACE,
    shifts=tuple(ElectrodeShift(electrode=e, down_cm=-6.0) for e in (Electrode.C1, Electrode.C2)),
)
TOO_LATERAL = replace(
    IN_PLACE,
    shifts=tuple(ElectrodeShift(electrode=each, left_cm=3.0) for each in CHEST_ELECTRODES[2:]),
)
ON_TORSO = replace(IN_PLACE, placed_as=Placement.TORSO)


@pytest.fixture(scope="module")
def too_high() -> Recording:
    return simulate(TOO_HIGH).recording


def _check(
    recording: Recording, waves: Waves, unreadable: Iterable[str] = ()
) -> tuple[Finding, ...]:
    features = find_features(waves.representative, unreadable)
    return check_misplacement(recording, waves, features)


def _told(assessment: Assessment) -> list[Finding]:
    return [each for each in assessment.findings if each.kind is FindingKind.MISPLACED]


def _signed(v1_uv: list[float], foot_uv: float = 60.0) -> BeatFeatures:
    """P of four quarters in V1; the arms are as far below zero as the foot is above."""
    potentials = np.zeros((9, 24))
    potentials[:3, :4] = [[-foot_uv / 2], [-foot_uv / 2], [foot_uv]]
    potentials[3, :4] = v1_uv
    return BeatFeatures(potentials_uv=potentials, has_p=True)


def test_it_is_a_remark_that_names_v1_and_v2(too_high: Recording) -> None:
    assessment = check(too_high)
    (found,) = _told(assessment)
    assert found.asks is Verdict.KEEP_WITH_REMARK
    assert assessment.verdict is Verdict.KEEP_WITH_REMARK
    assert found.electrodes == (Electrode.C1, Electrode.C2)
    assert found.sentence.startswith("V1 and V2 may be an interspace or two too high")
    assert "fourth intercostal space" in found.remedy
    assert found.confidence <= 0.6
    assert assessment.policy is not None
    assert assessment.policy.remark.startswith("The V1 and V2 electrodes may not have been")


@pytest.mark.parametrize(
    ("scenario", "displacement"),
    [(TOO_LATERAL, Displacement.LATERAL_ROW), (ON_TORSO, Displacement.TORSO)],
)
def test_other_displacements_are_told_by_name(
    scenario: Scenario, displacement: Displacement
) -> None:
    (found,) = _told(check(simulate(scenario).recording))
    assert found.sentence == write_remark(displacement).sentence


def test_the_same_person_with_them_in_place_is_not_remarked_on() -> None:
    assert _told(check(simulate(IN_PLACE).recording)) == []


def test_the_drills_are_told() -> None:
    for name, displacement in (
        ("v1-v2-too-high", Displacement.HIGH),
        ("limb-electrodes-on-torso", Displacement.TORSO),
    ):
        (found,) = _told(check(simulate(get_scenario(name)).recording))
        assert found.sentence == write_remark(displacement).sentence


def test_p_must_be_negative_in_v1_and_point_to_the_feet() -> None:
    down, biphasic = [-20.0, -60.0, -40.0, -5.0], [30.0, 20.0, -30.0, -10.0]
    assert has_negative_p_in_v1(_signed(down))
    assert not has_negative_p_in_v1(_signed(biphasic))
    assert not has_negative_p_in_v1(_signed(down, foot_uv=-60.0))
    assert not has_negative_p_in_v1(replace(_signed(down), has_p=False))


def test_r_of_v6_is_held_against_that_of_v4() -> None:
    potentials = np.zeros((9, 24))
    potentials[6, 4:16], potentials[8, 4:16] = 800.0, 400.0
    features = BeatFeatures(potentials_uv=potentials, has_p=True)
    assert has_smaller_r_in_v6(features)
    assert not has_larger_r_in_v6(features)


def test_vertical_axes_with_little_r_in_lead_i() -> None:
    potentials = np.zeros((9, 24))
    potentials[2, :16] = 100.0
    potentials[8, 4:16] = np.linspace(0.0, 900.0, 12)
    assert is_vertical(BeatFeatures(potentials_uv=potentials, has_p=True))
    potentials[1, :16] = 400.0
    assert not is_vertical(BeatFeatures(potentials_uv=potentials, has_p=True))


def test_putting_back_undoes_the_mixture() -> None:
    """A recording that was displaced gains by being put back what it lost by the mixture."""
    beat = delineate(simulate(IN_PLACE).recording).representative
    features = find_features(beat)
    assert features is not None
    gains = gain_of_putting_back(features)
    assert set(gains) == set(Displacement) == set(LEAST_GAIN)
    assert all(gain < 5.0 for gain in gains.values())
    assert get_mixtures().shape == (4, 8, 8)


@pytest.mark.parametrize(("likelihood", "told"), [(20.0, True), (2.0, False)])
def test_the_change_since_an_earlier_recording_needs_no_sign(
    likelihood: float, *, told: bool
) -> None:
    none_alone = dict.fromkeys(Displacement, 0.0)
    since = ChangeSince(
        likelihoods=dict.fromkeys(Displacement, 0.0) | {Displacement.LOW_ROW: likelihood},
        when="of 2025-05-01 10:00",
    )
    expected = Displacement.LOW_ROW if told else None
    assert choose_by_change(none_alone, since) is expected
    assert (
        "than in the recording of 2025" in write_remark(Displacement.LOW_ROW, since.when).sentence
    )


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
    assert _check(recording, delineate(recording)) == ()


def test_silent_with_a_wide_qrs(too_high: Recording) -> None:
    waves = delineate(too_high)
    beat = waves.representative
    assert beat is not None
    onset = beat.overall.qrs_offset - 0.121 * beat.rate_hz
    wide = replace(beat, overall=replace(beat.overall, qrs_onset=onset))
    assert _check(too_high, replace(waves, representative=wide)) == ()


def test_silent_of_paced_beats(too_high: Recording) -> None:
    """Spikes of two samples before each QRS, in the samples alone."""
    waves = delineate(too_high)
    microvolts = too_high.microvolts.copy()
    for beat in waves.beat_samples.tolist():
        microvolts[:, beat - 60 : beat - 58] += 2000.0
    paced = replace(too_high, microvolts=microvolts)
    assert _check(paced, waves) == ()


def test_silent_where_a_lead_is_spoiled(too_high: Recording) -> None:
    assert _check(too_high, delineate(too_high), ["V4"]) == ()


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
