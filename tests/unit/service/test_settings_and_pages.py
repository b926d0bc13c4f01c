from __future__ import annotations

from collections.abc import Callable

import pytest

from couchside import service
from couchside.errors import InvalidInput, NotFound
from couchside.paper import PaperSize
from couchside.recording import ColourCode
from couchside.service.desk import Desk
from couchside.service.exporting import PageFormat, export_page
from couchside.service.receiving import Received
from couchside.service.settings import Settings, change_settings, get_settings

Drop = Callable[..., Received]
Deeds = Callable[[], list[tuple[str, str, str]]]


def test_before_anybody_chose_the_defaults_stand(desk: Desk) -> None:
    assert get_settings(desk) == Settings(colour_code=ColourCode.IEC, paper_size=PaperSize.A4)


def test_a_choice_stands_and_only_what_changed_is_in_the_trail(desk: Desk, deeds: Deeds) -> None:
    chosen = Settings(colour_code=ColourCode.AHA, paper_size=PaperSize.A4)
    assert change_settings(desk, chosen) == chosen
    assert get_settings(desk) == chosen
    change_settings(desk, chosen)
    assert deeds() == [("Robin", "changed", "settings")]


@pytest.mark.parametrize("minutes", [0, -5, 721])
def test_a_lock_that_would_never_or_always_be_is_refused(
    desk: Desk, deeds: Deeds, minutes: int
) -> None:
    with pytest.raises(InvalidInput, match=f"^{minutes} minutes before .* choose 1 to 720"):
        change_settings(desk, Settings(lock_after_minutes=minutes))
    assert deeds() == []


def test_a_page_is_on_the_departments_paper(desk: Desk, drop: Drop, deeds: Deeds) -> None:
    drop()
    change_settings(desk, Settings(paper_size=PaperSize.LETTER))
    page = export_page(desk, 1, page_format=PageFormat.SVG)
    assert (page.media_type, page.file_name) == ("image/svg+xml", "recording-1.svg")
    assert b'width="279.4mm"' in page.content  # [ANSI-Y14.1] letter, landscape
    assert deeds()[-1] == ("Robin", "exported", "recording")


def test_a_page_as_pdf(desk: Desk, drop: Drop) -> None:
    drop()
    page = export_page(desk, 1, layout="6x2")
    assert page.media_type == "application/pdf"
    assert page.content.startswith(b"%PDF-")


def test_an_unknown_layout_or_recording_is_refused(desk: Desk, drop: Drop, deeds: Deeds) -> None:
    with pytest.raises(NotFound):
        export_page(desk, 1)
    drop()
    with pytest.raises(InvalidInput, match="layout"):
        export_page(desk, 1, layout="7x1")
    assert ("Robin", "exported", "recording") not in deeds()


def test_every_public_name_can_be_had() -> None:
    for name in service.__all__:
        assert getattr(service, name).__name__ == name


def test_no_other_name_can() -> None:
    with pytest.raises(AttributeError, match="has no nothing"):
        _ = service.nothing
