"""Waves and ST levels of each lead, on beats that are drawn."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from couchside.measures.amplitudes import ST_AFTER_J_MS, measure_leads
from couchside.measures.lead_model import LeadMeasures, WaveName
from couchside.waves import Waves

Draw = Callable[..., NDArray[np.float64]]
Make = Callable[..., Waves]

SAMPLING_UV = 0.02
"""Share of a triangle's height that its top may miss: half a sample of 1 ms on a flank of 20 ms."""


def _only(waves: Waves) -> LeadMeasures:
    (lead,) = measure_leads(waves)
    return lead


def test_names_and_sizes_of_a_qrs_with_three_waves(draw_lead: Draw, make_waves: Make) -> None:
    lead = _only(make_waves({"II": draw_lead((-120, 20), (1200, 50), (-300, 30))}))

    for name, height_uv, length_ms in (
        (WaveName.Q, -120, 20),
        (WaveName.R, 1200, 50),
        (WaveName.S, -300, 30),
    ):
        wave = lead.get(name)
        assert wave.amplitude_uv == pytest.approx(height_uv, rel=SAMPLING_UV)
        assert wave.duration_ms == pytest.approx(length_ms, abs=1.0)
    assert lead.peak_to_peak_uv == pytest.approx(1500, rel=SAMPLING_UV)


def test_second_r_and_second_s_have_names(draw_lead: Draw, make_waves: Make) -> None:
    lead = _only(make_waves({"V1": draw_lead((200, 20), (-300, 30), (400, 30), (-100, 20))}))

    assert lead.get(WaveName.Q).amplitude_uv is None
    heights = [
        lead.get(name).amplitude_uv
        for name in (WaveName.R, WaveName.S, WaveName.R_PRIME, WaveName.S_PRIME)
    ]
    assert heights == pytest.approx([200, -300, 400, -100], rel=SAMPLING_UV)


def test_single_deflection_downwards_is_qs(draw_lead: Draw, make_waves: Make) -> None:
    lead = _only(make_waves({"V1": draw_lead((-900, 100))}))

    assert lead.is_qs
    assert lead.get(WaveName.Q).amplitude_uv == pytest.approx(-900, rel=SAMPLING_UV)
    assert lead.get(WaveName.S).amplitude_uv is None


@pytest.mark.parametrize(("height_uv", "length_ms"), [(-19, 20), (-100, 5)])
def test_what_is_too_low_or_too_short_is_no_wave(
    height_uv: float, length_ms: float, draw_lead: Draw, make_waves: Make
) -> None:
    lead = _only(make_waves({"II": draw_lead((height_uv, length_ms), (1000, 60))}))

    assert lead.get(WaveName.Q).amplitude_uv is None
    assert "20 µV and 6 ms" in lead.get(WaveName.Q).reason


def test_notch_that_is_no_wave_parts_nothing(draw_lead: Draw, make_waves: Make) -> None:
    lead = _only(make_waves({"II": draw_lead((800, 40), (-15, 6), (600, 40))}))

    assert lead.get(WaveName.R).amplitude_uv == pytest.approx(800, rel=SAMPLING_UV)
    assert lead.get(WaveName.R).duration_ms == pytest.approx(100, abs=15)
    assert lead.get(WaveName.R_PRIME).amplitude_uv is None


def test_rise_into_st_is_no_second_r(draw_lead: Draw, make_waves: Make) -> None:
    row = draw_lead((1000, 50), (-200, 40), st_uv=150)
    row[490:500] = np.linspace(0, 150, 10)

    lead = _only(make_waves({"V2": row}))

    assert lead.get(WaveName.R_PRIME).amplitude_uv is None


def test_wave_that_the_qrs_end_cuts_off_is_one(draw_lead: Draw, make_waves: Make) -> None:
    row = draw_lead((1000, 60), (-200, 30))

    lead = _only(make_waves({"II": row}, qrs_spans=[(400, 472)]))

    assert lead.get(WaveName.S).amplitude_uv == pytest.approx(-200, rel=SAMPLING_UV)


def test_isoelectric_segments_belong_to_no_wave(draw_lead: Draw, make_waves: Make) -> None:
    row = draw_lead((-100, 20), (900, 40), after_ms=15)

    lead = _only(make_waves({"aVL": row}, qrs_spans=[(415, 475)]))

    assert lead.i_segment_ms == pytest.approx(15)
    assert lead.k_segment_ms == pytest.approx(25)
    assert lead.get(WaveName.Q).duration_ms == pytest.approx(20, abs=1.0)


def test_wave_within_the_noise_is_none(draw_lead: Draw, make_waves: Make) -> None:
    rows = {"II": draw_lead((-40, 20), (1000, 60))}

    assert _only(make_waves(rows, noise_uv=10)).get(WaveName.Q).amplitude_uv is not None
    assert _only(make_waves(rows, noise_uv=40)).get(WaveName.Q).amplitude_uv is None


def test_p_is_measured_from_the_line_to_qrs(draw_lead: Draw, make_waves: Make) -> None:
    row = draw_lead((1000, 60), p_uv=120)
    row[:400] += np.linspace(-80, 0, 400)

    lead = _only(make_waves({"II": row}))

    assert lead.get(WaveName.P).amplitude_uv == pytest.approx(120, abs=1.0)


def test_p_and_t_keep_their_sign(draw_lead: Draw, make_waves: Make) -> None:
    lead = _only(make_waves({"aVR": draw_lead((-1000, 60), p_uv=-90, t_uv=-250)}))

    assert lead.get(WaveName.P).amplitude_uv == pytest.approx(-90, abs=1.0)
    assert lead.get(WaveName.T).amplitude_uv == pytest.approx(-250, abs=1.0)


def test_absent_p_carries_its_reason(draw_lead: Draw, make_waves: Make) -> None:
    lead = _only(make_waves({"II": draw_lead((1000, 60))}, has_p=False))

    assert lead.get(WaveName.P).amplitude_uv is None
    assert lead.get(WaveName.P).reason == "no P wave was found"


def test_st_is_read_at_five_places(draw_lead: Draw, make_waves: Make) -> None:
    row = draw_lead((1000, 60))
    row[500:700] = 100 + 2.0 * np.arange(200)

    lead = _only(make_waves({"V3": row}))

    assert [each.after_j_ms for each in lead.st] == list(ST_AFTER_J_MS)
    levels = [each.level_uv for each in lead.st]
    assert levels == pytest.approx([100, 140, 180, 220, 260])


def test_st_beyond_the_beat_carries_its_reason(draw_lead: Draw, make_waves: Make) -> None:
    waves = make_waves({"V3": draw_lead((1000, 60))})
    assert waves.representative is not None
    short = replace(waves.representative, microvolts=waves.representative.microvolts[:, :545])

    lead = _only(replace(waves, representative=short))

    assert [each.level_uv is None for each in lead.st] == [False, False, False, True, True]
    assert "beyond" in lead.st[-1].reason


def test_lead_without_signal_has_reasons_and_no_zero(draw_lead: Draw, make_waves: Make) -> None:
    rows = {"II": draw_lead((1000, 60)), "V6": np.zeros(900)}
    waves = make_waves(rows, qrs_spans=[(400, 500), (np.nan, np.nan)])

    silent = measure_leads(waves)[1]

    assert all(wave.amplitude_uv is None and wave.reason for wave in silent.waves)
    assert all(level.level_uv is None for level in silent.st)
    assert silent.peak_to_peak_uv is None


def test_no_beat_gives_no_leads(draw_lead: Draw, make_waves: Make) -> None:
    waves = replace(make_waves({"II": draw_lead((1000, 60))}), representative=None)

    assert measure_leads(waves) == ()
