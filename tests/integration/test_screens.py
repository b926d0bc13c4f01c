"""Every page has its pictures, and no picture is of a page that is no more."""

from __future__ import annotations

from pathlib import Path

from PIL import Image
from tests.integration.browser.test_every_page import list_pages, make_pattern
from tools.screens import MOST_BYTES, PICTURES, SCREENS, WIDTHS, list_pictures

DOCS = Path(__file__).parents[2] / "docs"
REMAKE = "run `make docs`"


def test_every_page_is_shown() -> None:
    shown = [each.path.partition("?")[0] for each in SCREENS]
    missing = [each for each in list_pages() if not any(map(make_pattern(each).fullmatch, shown))]
    assert missing == [], "give each a line in tools/screens.py"


def test_every_screen_has_its_pictures_and_no_other_is_there() -> None:
    wanted = {file for each in SCREENS for file in list_pictures(each).values()}
    assert len(wanted) == len(SCREENS) * len(WIDTHS), "two screens bear one name"
    assert {each.name for each in PICTURES.iterdir()} == wanted, REMAKE


def test_each_picture_is_as_wide_as_it_says() -> None:
    for screen in SCREENS:
        for width, words in WIDTHS.items():
            with Image.open(PICTURES / list_pictures(screen)[words]) as image:
                assert image.width == width, (screen.name, words)


def test_all_pictures_together_stay_small() -> None:
    assert sum(each.stat().st_size for each in PICTURES.iterdir()) < MOST_BYTES


def test_no_picture_of_the_documents_lies_there_unused() -> None:
    words = "".join(
        each.read_text(encoding="utf-8") for each in (*DOCS.glob("*.md"), DOCS.parent / "README.md")
    )
    pictures = [each for each in (DOCS / "pictures").rglob("*.png") if each.parent != PICTURES]
    assert [each.name for each in pictures if each.name not in words] == []
