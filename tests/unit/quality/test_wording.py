"""Leads in a sentence: in the order of the trade, the chest leads as one where they are whole."""

from __future__ import annotations

import pytest

from couchside.quality.model import Hidden, Reading
from couchside.quality.wording import list_leads, say_hidden

CHEST = ("V5", "V4", "V6", "V3", "V2", "V1")


@pytest.mark.parametrize(
    ("leads", "words"),
    [
        (("aVF", "I", "III"), "I, III and aVF"),
        (CHEST, "V1–V6"),
        (("aVL", *CHEST, "II"), "II, aVL and V1–V6"),
        (("V4R", "V2", "ABC", "I"), "I, V2, V4R and ABC"),
        ((), ""),
    ],
)
def test_leads_are_told_in_order(leads: tuple[str, ...], words: str) -> None:
    assert list_leads(leads) == words


def test_what_is_hidden_is_told_in_order() -> None:
    hidden = Hidden(what=Reading.EVERYTHING, leads=("V1", "aVR", "II"))
    assert say_hidden([hidden]) == "everything in II, aVR and V1"
