from __future__ import annotations

import pytest

from couchside.errors import InvalidInput
from couchside.paper.sizes import Gains, Layout, PaperSize, check_speed, choose


@pytest.mark.parametrize("text", ["letter", "Letter", "LETTER", PaperSize.LETTER])
def test_choice_is_found_whatever_its_case(text: str) -> None:
    assert choose(PaperSize, text, "paper size") is PaperSize.LETTER


def test_unknown_choice_lists_the_choices() -> None:
    with pytest.raises(
        InvalidInput, match=r"layout '4x3' is not known; choose 3x4\+1, 3x4\+3, 6x2 or 12x1"
    ):
        choose(Layout, "4x3", "layout")


@pytest.mark.parametrize("speed", [0.0, 12.5, -25.0, float("nan")])
def test_other_speeds_are_refused(speed: float) -> None:
    with pytest.raises(InvalidInput, match="choose 25 or 50"):
        check_speed(speed)


@pytest.mark.parametrize("gain", [0.0, 2.5, 40.0])
def test_other_gains_are_refused(gain: float) -> None:
    with pytest.raises(InvalidInput, match="choose 5, 10 or 20"):
        Gains(limb_mm_per_mv=10.0, chest_mm_per_mv=gain)


def test_gains_know_whether_they_differ() -> None:
    split = Gains(limb_mm_per_mv=10.0, chest_mm_per_mv=5.0)
    assert split.are_split
    assert split.tallest_mm_per_mv == 10.0
    assert not Gains(limb_mm_per_mv=5.0, chest_mm_per_mv=5.0).are_split
