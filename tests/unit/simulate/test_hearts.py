"""Hearts as a textbook would have them; limits are wide, for people differ."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from couchside.errors import InvalidInput
from couchside.recording import STANDARD_LEADS, Sex
from couchside.simulate import (
    AvBlock,
    BeatKind,
    Body,
    Conduction,
    HeartState,
    Recorder,
    Rhythm,
    Scenario,
    Simulation,
    Territory,
    simulate,
)

Samples = NDArray[np.float64]
SEEDS = range(12)
HEARTS = pytest.mark.parametrize("seed", SEEDS)


def _simulate(
    seed: int, state: HeartState | None = None, age_years: float = 52.0, day: int = 0
) -> Simulation:
    body = Body(age_years=age_years, sex=Sex.MALE if seed % 2 else Sex.FEMALE, heart_seed=seed)
    return simulate(
        Scenario(name="x", title="", seed=seed + 1000 * day, body=body, state=state or HeartState())
    )


def _clean(simulation: Simulation, lead: str) -> Samples:
    row = [str(name) for name in STANDARD_LEADS].index(lead)
    samples: Samples = simulation.truth.clean_microvolts[row]
    return samples


def _qrs(simulation: Simulation, lead: str, beat: int = 2) -> Samples:
    overall = simulation.truth.overall
    first, last = int(overall.qrs_onset[beat]), int(overall.qrs_offset[beat]) + 1
    wave = _clean(simulation, lead)[first : last + 1]
    from_onset: Samples = wave - wave[0]
    return from_onset


@HEARTS
def test_avr_is_negative_and_v5_positive(seed: int) -> None:
    simulation = _simulate(seed, HeartState(axis_deg=45.0))
    assert _qrs(simulation, "aVR").sum() < 0.0
    assert _qrs(simulation, "V5").sum() > 0.0
    assert _qrs(simulation, "V1").sum() < 0.0


@HEARTS
@pytest.mark.parametrize("axis_deg", [-70.0, -20.0, 40.0, 100.0, 170.0])
def test_the_axis_is_as_asked_for(seed: int, axis_deg: float) -> None:
    measured = _simulate(seed, HeartState(axis_deg=axis_deg)).truth.heart.qrs_axis_deg
    assert (measured - axis_deg + 180.0) % 360.0 - 180.0 == pytest.approx(0.0, abs=1.5)


@HEARTS
def test_intervals_are_as_asked_for(seed: int) -> None:
    state = HeartState(pr_ms=190.0, qrs_ms=100.0, qtc_ms=430.0, rate_per_min=60.0)
    overall = _simulate(seed, replace(state, sinus_arrhythmia_ms=0.0)).truth.overall
    assert np.nanmedian(overall.qrs_onset - overall.p_onset) * 2 == pytest.approx(190.0, abs=3.0)
    assert np.median(overall.qrs_offset - overall.qrs_onset) * 2 == pytest.approx(100.0, abs=3.0)
    assert np.nanmedian(overall.t_offset - overall.qrs_onset) * 2 == pytest.approx(430.0, abs=6.0)


@HEARTS
def test_left_bundle_branch_block_is_broad_with_t_against_it(seed: int) -> None:
    state = HeartState(conduction=Conduction.LEFT_BUNDLE_BRANCH_BLOCK)
    simulation = _simulate(seed, state)
    assert simulation.truth.heart.qrs_ms >= 120.0
    assert _qrs(simulation, "V1").min() < -3.0 * _qrs(simulation, "V1").max()
    assert _qrs(simulation, "V6").min() > -0.1 * _qrs(simulation, "V6").max()
    row = STANDARD_LEADS.index("V6")
    t_at = int(simulation.truth.t.peak[row, 2])
    assert _clean(simulation, "V6")[t_at] < 0.0


@HEARTS
def test_right_bundle_branch_block_ends_upright_in_v1(seed: int) -> None:
    state = HeartState(conduction=Conduction.RIGHT_BUNDLE_BRANCH_BLOCK)
    simulation = _simulate(seed, state)
    first, last = np.array_split(_qrs(simulation, "V1"), 2)
    assert last.max() > 200.0
    assert first.min() < -100.0
    assert np.array_split(_qrs(simulation, "V6"), 2)[1].min() < -100.0


@HEARTS
def test_dextrocardia_turns_lead_one_and_loses_r_over_the_left_chest(seed: int) -> None:
    usual = _simulate(seed, HeartState(axis_deg=45.0))
    turned = _simulate(seed, HeartState(axis_deg=45.0, dextrocardia=True))
    assert _qrs(usual, "I").sum() > 0.0 > _qrs(turned, "I").sum()
    assert _qrs(turned, "V6").max() < 0.5 * _qrs(usual, "V6").max()


@HEARTS
@pytest.mark.parametrize(
    ("territory", "raised", "lowered"),
    [
        (Territory.ANTERIOR, "V3", None),
        (Territory.INFERIOR, "III", "aVL"),
        (Territory.LATERAL, "V5", "III"),
        (Territory.POSTERIOR, "V9", "V2"),
        (Territory.SUBENDOCARDIAL, "aVR", "V5"),
    ],
)
def test_an_injury_shifts_st_over_its_wall(
    seed: int, territory: Territory, raised: str, lowered: str | None
) -> None:
    state = HeartState(st_territory=territory, st_shift_uv=300.0)
    usual, injured = _simulate(seed), _simulate(seed, state)
    change = injured.truth.clean_microvolts - usual.truth.clean_microvolts
    after = int(injured.truth.overall.qrs_offset[2]) + 10
    shift = dict(zip(map(str, STANDARD_LEADS), change[:, after], strict=True))
    if raised in shift:
        assert shift[raised] > 100.0
    if lowered is not None:
        assert shift[lowered] < -80.0
    assert max(abs(value) for value in shift.values()) == pytest.approx(300.0, rel=0.15)


@HEARTS
def test_fibrillation_is_irregular_without_p(seed: int) -> None:
    state = HeartState(rhythm=Rhythm.ATRIAL_FIBRILLATION, rate_per_min=90.0)
    truth = _simulate(seed, state).truth
    intervals = np.diff(truth.beat_samples)
    assert intervals.std() / intervals.mean() > 0.08
    assert np.isnan(truth.p.onset).all()
    assert truth.heart.pr_ms is None


@HEARTS
def test_a_blocked_beat_leaves_a_gap(seed: int) -> None:
    state = HeartState(av_block=AvBlock.SECOND_DEGREE_TYPE_1, rate_per_min=80.0, pr_ms=180.0)
    overall = _simulate(seed, state).truth.overall
    pr = (overall.qrs_onset - overall.p_onset) * 2.0
    assert np.nanmax(pr) - np.nanmin(pr) > 100.0
    gaps = np.diff(overall.qrs_onset) * 2.0
    assert gaps.max() > 1.3 * gaps.min()


@HEARTS
def test_complete_block_parts_atria_from_ventricles(seed: int) -> None:
    truth = _simulate(seed, HeartState(av_block=AvBlock.THIRD_DEGREE, rate_per_min=85.0)).truth
    assert set(truth.beat_kinds) == {BeatKind.ESCAPE}
    assert 60.0 / (np.diff(truth.lone_p_onsets).mean() / 500.0) == pytest.approx(85.0, abs=2.0)
    assert 60.0 / (np.diff(truth.beat_samples).mean() / 500.0) == pytest.approx(42.0, abs=1.5)


@HEARTS
def test_first_degree_block_is_a_long_pr(seed: int) -> None:
    usual, slow = _simulate(seed), _simulate(seed, HeartState(av_block=AvBlock.FIRST_DEGREE))
    assert usual.truth.heart.pr_ms is not None
    assert slow.truth.heart.pr_ms == pytest.approx(usual.truth.heart.pr_ms + 110.0)


@pytest.mark.parametrize(
    ("state", "message"),
    [
        ({"rhythm": Rhythm.ATRIAL_FLUTTER, "av_block": AvBlock.FIRST_DEGREE}, "goes without AV"),
        ({"rhythm": Rhythm.ATRIAL_FIBRILLATION, "premature_atrial_share": 0.1}, "early beats"),
        (
            {"av_block": AvBlock.THIRD_DEGREE, "premature_ventricular_share": 0.1},
            "goes without early beats",
        ),
        (
            {
                "rhythm": Rhythm.VENTRICULAR_PACED,
                "conduction": Conduction.LEFT_BUNDLE_BRANCH_BLOCK,
            },
            "paced beats",
        ),
        ({"qtc_ms": 100.0}, "between 250 and 700"),
    ],
)
def test_a_heart_that_cannot_be_is_refused(state: dict[str, float], message: str) -> None:
    with pytest.raises(InvalidInput, match=message):
        HeartState(**state)  # type: ignore[arg-type]


def test_early_beats_come_early_and_ventricular_ones_are_wide() -> None:
    state = HeartState(premature_ventricular_share=0.25)
    simulation = _simulate(3, state)
    kinds, overall = simulation.truth.beat_kinds, simulation.truth.overall
    early = [place for place, kind in enumerate(kinds) if kind is BeatKind.VENTRICULAR_PREMATURE]
    usual = [place for place, kind in enumerate(kinds) if kind is BeatKind.SINUS]
    width = (overall.qrs_offset - overall.qrs_onset) * 2.0
    assert early
    assert width[early].min() > 130.0 > width[usual].max()
    before = np.diff(simulation.truth.beat_samples, prepend=np.nan)
    assert np.nanmax(before[early]) < 0.8 * np.nanmedian(before)


def test_pacing_shows_an_impulse_before_each_wide_beat() -> None:
    simulation = _simulate(4, HeartState(rhythm=Rhythm.VENTRICULAR_PACED, rate_per_min=70.0))
    lead = _clean(simulation, "II")
    for onset in simulation.truth.overall.qrs_onset:
        before = lead[int(onset) - 10 : int(onset)]
        assert np.abs(np.diff(before, 2)).max() > 500.0


def test_a_heart_is_more_like_itself_on_another_day_than_like_anothers() -> None:
    state = HeartState(rate_per_min=70.0)
    today = np.array([_mean_beat(_simulate(seed, state)) for seed in SEEDS])
    later = np.array([_mean_beat(_simulate(seed, state, day=1)) for seed in SEEDS])
    alike = np.corrcoef(today, later)[: len(SEEDS), len(SEEDS) :]
    own = np.diag(alike)
    assert own.min() > 0.95
    assert own.max() < 1.0
    assert np.mean(alike.max(axis=1) == own) > 0.9
    assert np.median(alike) < 0.95


def _mean_beat(simulation: Simulation) -> Samples:
    onset = int(simulation.truth.overall.qrs_onset[2])
    return simulation.truth.clean_microvolts[:, onset - 20 : onset + 80].ravel()


@pytest.mark.parametrize(("age_years", "low", "high"), [(0.01, 0.8, 1.0), (40.0, 0.0, 0.1)])
def test_the_right_ventricle_leads_in_the_newborn(
    age_years: float, low: float, high: float
) -> None:
    upright = [_qrs(_simulate(seed, age_years=age_years), "V1").sum() > 0.0 for seed in range(20)]
    assert low <= np.mean(upright) <= high


@pytest.mark.parametrize(("age_years", "share"), [(5.0, 0.9), (45.0, 0.0)])
def test_t_in_v1_is_inverted_in_children(age_years: float, share: float) -> None:
    inverted = []
    for seed in range(20):
        simulation = _simulate(seed, age_years=age_years)
        peak = simulation.truth.t.peak[STANDARD_LEADS.index("V2"), 1]
        if not np.isnan(peak):
            inverted.append(_clean(simulation, "V1")[int(peak)] < 0.0)
    assert np.mean(inverted) >= share


@pytest.mark.parametrize(
    ("age_years", "low", "high"), [(0.02, 120.0, 200.0), (2.0, 90.0, 180.0), (10.0, 50.0, 115.0)]
)
def test_children_beat_at_the_rate_of_their_age(age_years: float, low: float, high: float) -> None:
    """Bounds a little outside the 2nd and 98th centiles of Rijnbeek et al. 2001, from memory."""
    rates = [_simulate(seed, age_years=age_years).truth.heart.rate_per_min for seed in range(30)]
    assert np.mean([low < rate < high for rate in rates]) > 0.95


def test_a_wave_that_begins_with_the_recording_begins_within_it() -> None:
    """The drawing of this premature beat starts at the first sample, where it is seen already."""
    scenario = Scenario(
        name="early",
        title="",
        seed=2946818,
        body=Body(age_years=2.0, sex=Sex.FEMALE, heart_seed=0),
        state=HeartState(premature_ventricular_share=0.25, rate_per_min=116.625),
        duration_s=2.0,
        recorder=Recorder(rate_hz=250.0, low_pass_hz=40.0),
    )
    qrs = simulate(scenario).truth.qrs
    assert qrs.onset[~np.isnan(qrs.onset)].min() >= 0.0
