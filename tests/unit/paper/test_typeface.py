from __future__ import annotations

import pytest

from couchside.paper.typeface import lacks_characters, shorten, width_mm, wrap
from couchside.paper.writing_order import in_visual_order, is_joined_script


def test_bold_is_wider_than_regular() -> None:
    assert width_mm("Measure", 2.5, bold=True) > width_mm("Measure", 2.5) > 0


def test_shorten_keeps_what_fits_and_shows_that_it_was_cut() -> None:
    assert shorten("short", 100.0, 2.5) == "short"
    cut = shorten("a rather long text", 15.0, 2.5)
    assert cut.endswith("…")
    assert width_mm(cut, 2.5) <= 15.0


def test_wrap_fills_lines_and_loses_no_word() -> None:
    words = ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"]
    lines = wrap(words, 20.0, 2.5)
    assert len(lines) > 1
    assert " ".join(lines).split() == words
    assert all(width_mm(line, 2.5) <= 20.0 for line in lines)
    assert wrap([], 20.0, 2.5) == []


def test_word_wider_than_the_room_is_broken() -> None:
    lines = wrap(["one", "Donaudampfschifffahrtsgesellschaft", "two"], 20.0, 2.5)
    assert "".join(lines).replace(" ", "") == "oneDonaudampfschifffahrtsgesellschafttwo"
    assert all(width_mm(line, 2.5) <= 20.0 for line in lines)


@pytest.mark.parametrize("text", ["Żółć", "Ελένη", "Nguyễn", "Ђорђевић", "≥ ▲ ▼ − µ ° ¹ ²", "דוד"])
def test_typeface_knows_the_writing_of_europe_and_vietnam(text: str) -> None:
    assert not lacks_characters(text)


def test_typeface_tells_what_it_lacks() -> None:
    assert lacks_characters("山田")


@pytest.mark.parametrize(
    ("read", "placed"),
    [
        ("Anna", "Anna"),
        ("אבג", "גבא"),
        ("כהן, דוד", "דוד ,ןהכ"),
        ("No. 4711 אבג (B)", "No. 4711 גבא (B)"),
        ("אב (ג) ד", "ד (ג) בא"),
    ],
)
def test_right_to_left_words_are_turned_round(read: str, placed: str) -> None:
    assert in_visual_order(read) == placed


def test_marks_stay_on_their_letters() -> None:
    assert in_visual_order("אָב") == "באָ"


def test_joined_script_is_recognised() -> None:
    assert is_joined_script("محمد")
    assert not is_joined_script("דוד Anna")
