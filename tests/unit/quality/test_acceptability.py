"""The probability that readers call a recording unacceptable, and the finding that it makes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from couchside.quality import FindingKind, Verdict, check, thresholds
from couchside.quality.acceptability import FEATURES, get_model, measure_features, predict
from couchside.quality.legibility import check_legibility
from couchside.quality.spoils import weigh
from couchside.recording import Electrode, Recording
from couchside.waves import delineate

FloatArray = NDArray[np.float64]
MakeRecording = Callable[..., Recording]


def test_good_recording_is_most_likely_acceptable(make_recording: MakeRecording) -> None:
    probability = check(make_recording()).unreadable_probability

    assert probability is not None
    assert probability < 0.1


def test_more_noise_makes_it_more_likely(make_recording: MakeRecording, time_s: FloatArray) -> None:
    noise = np.random.default_rng(3).normal(0.0, 1.0, (3, len(time_s)))
    electrodes = (Electrode.RA, Electrode.C2, Electrode.C5)
    said = [
        check(
            make_recording(
                at={each: level * row for each, row in zip(electrodes, noise, strict=True)}
            )
        ).unreadable_probability
        for level in (10.0, 150.0, 600.0)
    ]

    assert said == sorted(said, key=lambda each: each or 0.0)
    assert said[-1] is not None
    assert said[-1] > thresholds.UNREADABLE_PROBABILITY


def test_noise_is_as_high_as_the_beats_where_no_beats_are_alike(
    make_recording: MakeRecording,
) -> None:
    """One beat is all that its own mean is made of, and leaves nothing over."""
    recording = make_recording()
    waves = delineate(recording)
    assert waves.representative is not None
    alone = replace(waves, representative=replace(waves.representative, beat_count=1))
    noise = [
        measure_features(*weigh(recording, waves), each)[FEATURES.index("worst_noise")]
        for each in (waves, alone)
    ]

    assert noise[0] < -1.0
    assert noise[1] == 0.0


@pytest.mark.parametrize("change", [{"leads": ("I", "II")}, {"duration_s": 4.0}])
def test_readers_were_not_asked_about_such(
    make_recording: MakeRecording, change: dict[str, object]
) -> None:
    assert check(make_recording(**change)).unreadable_probability is None


def test_weights_speak_against_what_hides_and_for_tall_leads() -> None:
    model = get_model()

    for name, weight in zip(FEATURES, model.weight, strict=True):
        assert (weight < 0.0) == (name == "smallest_lead"), name
    assert 0.0 < predict(model, model.mean) < 0.5


@pytest.mark.parametrize(
    ("probability", "asks"),
    [
        (None, None),
        (0.49, None),
        (0.5, Verdict.KEEP_WITH_REMARK),
        (0.7, Verdict.RECORD_AGAIN),
    ],
)
def test_it_is_told_from_even_odds_on(probability: float | None, asks: Verdict | None) -> None:
    found = check_legibility(probability, ())

    assert [each.asks for each in found] == ([] if asks is None else [asks])
    assert all(each.kind == FindingKind.HARD_TO_READ for each in found)
