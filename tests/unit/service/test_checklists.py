"""The readiness checklist: the shipped example, the department's own, and a broken one."""

from __future__ import annotations

from pathlib import Path

import pytest

from couchside.errors import InvalidInput
from couchside.service.checklists import (
    CHECKLIST_FILE,
    EXAMPLE_FILE,
    Beside,
    choose_checklist,
    get_example_checklist,
    parse_checklist,
)
from couchside.store.words import PartOfDay


def test_the_example_says_that_it_is_one_and_covers_the_day(tmp_path: Path) -> None:
    example = choose_checklist(tmp_path)
    assert example.is_example
    start = {item.name for item in example.list_items(PartOfDay.START)}
    assert start == {"cables", "pulse", "electrodes", "battery", "clock", "paper"}
    assert "nothing-left" in {item.name for item in example.list_items(PartOfDay.END)}
    assert {item.beside for item in example.items} >= set(Beside)
    assert all(item.source for item in example.items)


def test_the_departments_own_takes_its_place(tmp_path: Path) -> None:
    text = get_example_checklist().replace('"Example checklist"', '"Ours"')
    (tmp_path / CHECKLIST_FILE).write_text(text.replace("= true", "= false"), encoding="utf-8")
    own = choose_checklist(tmp_path)
    assert (own.title, own.is_example, own.problem) == ("Ours", False, "")


def test_a_broken_one_keeps_nobody_from_checking(tmp_path: Path) -> None:
    (tmp_path / CHECKLIST_FILE).write_text('title = "Ours"\n', encoding="utf-8")
    chosen = choose_checklist(tmp_path)
    assert chosen.is_example
    assert chosen.problem == (
        "readiness.toml, line 1: item is missing; give at least one [[item]]; "
        "the shipped example is used instead"
    )


@pytest.mark.parametrize(
    ("before", "after", "complaint"),
    [
        ('name = "pulse"', 'name = "cables"', "name 'cables' is an earlier item’s"),
        ('name = "pulse"', 'name = "A pulse"', "name is 'A pulse'; take up to 40"),
        ('\nbeside = "pulse"', '\nbeside = "moon"', "beside is 'moon'; choose from pulse, clock"),
        ('parts = ["start of day"]', 'parts = ["noon"]', "parts names 'noon'; choose from"),
        ('parts = ["start of day"]', "parts = []", "parts is missing"),
        ('words = "The battery', 'word = "The battery', "word is not known here"),
    ],
)
def test_each_mistake_is_named_with_its_line(before: str, after: str, complaint: str) -> None:
    text = get_example_checklist().replace(before, after, 1)
    with pytest.raises(InvalidInput, match=rf"{EXAMPLE_FILE}, line \d+: {complaint}"):
        parse_checklist(text, EXAMPLE_FILE)
