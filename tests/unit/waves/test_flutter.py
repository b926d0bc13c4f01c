from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from couchside.waves.agreement import Agreement
from couchside.waves.flutter import find_repeated
from couchside.waves.smooth_waves import MS

SIZES = np.array([1.0, -0.5, 0.8, 0.3])
OTHER_SIZES = np.array([0.2, 1.0, -0.6, 0.9])
MIDDLE = 130


def agreement_of(*waves: tuple[float, NDArray[np.float64]]) -> Agreement:
    """Bumps so many ms before the place of P, each with its size in four leads."""
    times = np.arange(375)
    mean = np.zeros((4, times.size))
    for before_ms, sizes in waves:
        place = (times - MIDDLE + before_ms / MS) * MS / 40.0
        mean += 50.0 * sizes[:, None] * np.exp(-0.5 * place**2)
    return Agreement(mean=mean[None], chance=np.ones((1, times.size)), beats=())


def is_repeated(agreement: Agreement, rr_ms: float) -> bool:
    weights = np.ones(agreement.mean.shape[1])
    return bool(find_repeated(agreement, weights, np.array([MIDDLE]), np.array([rr_ms]))[0])


@pytest.mark.parametrize("rr_ms", [420.0, 630.0, 840.0])
def test_an_equal_wave_in_step_before_it_makes_flutter(rr_ms: float) -> None:
    assert is_repeated(agreement_of((0.0, SIZES), (212.0, SIZES)), rr_ms)


def test_a_p_wave_with_nothing_before_it_stays() -> None:
    assert not is_repeated(agreement_of((0.0, SIZES)), 630.0)


def test_a_wave_of_another_shape_over_the_leads_is_no_repetition() -> None:
    assert not is_repeated(agreement_of((0.0, SIZES), (212.0, OTHER_SIZES)), 630.0)


def test_a_larger_wave_is_a_t_wave() -> None:
    assert not is_repeated(agreement_of((0.0, SIZES), (212.0, 3.0 * SIZES)), 630.0)


def test_waves_out_of_step_with_rr_are_not_flutter() -> None:
    assert not is_repeated(agreement_of((0.0, SIZES), (212.0, SIZES)), 530.0)


def test_at_high_rates_the_p_before_is_no_repetition() -> None:
    assert not is_repeated(agreement_of((0.0, SIZES), (212.0, SIZES)), 212.0)


@pytest.mark.parametrize(("leads", "repeated"), [(1, False), (2, True)])
def test_one_lead_tells_too_little(*, leads: int, repeated: bool) -> None:
    whole = agreement_of((0.0, SIZES), (212.0, SIZES))
    few = Agreement(mean=whole.mean[:, :leads], chance=whole.chance, beats=())
    assert is_repeated(few, 630.0) is repeated


def test_in_two_leads_a_t_wave_is_told_by_its_size_and_by_its_sign_in_each() -> None:
    for other in (2.0 * SIZES, SIZES * (1.0, -1.0, 1.0, 1.0)):
        whole = agreement_of((0.0, SIZES), (212.0, other))
        two = Agreement(mean=whole.mean[:, :2], chance=whole.chance, beats=())
        assert not is_repeated(two, 630.0)
