"""The placement guide: drawings, words, both colour codes, and what there is no guide to."""

from __future__ import annotations

import re

import pytest
from fastapi.testclient import TestClient

from couchside.recording import ELECTRODES, ColourCode, Placement, list_sites
from couchside.service import Desk, Settings, change_settings
from couchside.web.contexts.guide import GUIDED, slug_of, view_guide
from couchside.web.contexts.guide.marks import MARKS, VIEWS
from couchside.web.contexts.guide.outlines import OUTLINES


@pytest.mark.parametrize("placement", GUIDED)
def test_every_electrode_that_moves_is_drawn(placement: Placement) -> None:
    usual = set(list_sites(GUIDED[0]).values())
    moved = {site for site in list_sites(placement).values() if site not in usual}
    drawn = {site for view in VIEWS[placement] for site in MARKS[view]}
    assert moved <= drawn
    guide = view_guide(placement, ColourCode.IEC)
    assert len(guide.chest) + len(guide.limbs) == len(ELECTRODES)
    assert all(drawing.dots for drawing in guide.drawings)


def test_dots_and_labels_stay_inside_their_drawing() -> None:
    for placement in GUIDED:
        for drawing in view_guide(placement, ColourCode.AHA).drawings:
            for dot in drawing.dots:
                assert 8 <= dot.x <= drawing.outline.width - 8
                assert 8 <= dot.y <= drawing.outline.height - 8
                assert 15 <= dot.label_x <= drawing.outline.width - 15
                assert 8 <= dot.label_y <= drawing.outline.height - 8


def test_no_two_dots_lie_on_each_other() -> None:
    for placement in GUIDED:
        for drawing in view_guide(placement, ColourCode.IEC).drawings:
            spots = [(dot.x, dot.y) for dot in drawing.dots]
            for n, (x, y) in enumerate(spots):
                for other_x, other_y in spots[n + 1 :]:
                    assert (x - other_x) ** 2 + (y - other_y) ** 2 >= 18**2


def test_every_path_is_closed_to_what_a_path_may_hold() -> None:
    for outline in OUTLINES.values():
        for stroke in outline.strokes:
            assert re.fullmatch(r"[MLCQHVhZ0-9. ]+", stroke.path)


@pytest.mark.parametrize("placement", GUIDED)
def test_each_placement_has_a_page(client: TestClient, placement: Placement) -> None:
    page = client.get(f"/guide/{slug_of(placement)}")
    assert page.status_code == 200
    assert page.text.count('<figure class="body-drawing">') == len(VIEWS[placement])
    assert "Local protocol goes first." in page.text
    assert "Before the electrodes go on" in page.text
    assert "Sources: " in page.text


def test_the_cables_are_those_of_the_chosen_code(client: TestClient, desk: Desk) -> None:
    page = client.get("/guide/right-sided").text
    assert "<b>C4</b> <span>white and brown</span>" in page
    assert "AHA" not in page.partition("<main")[2].partition("Sources")[0]
    change_settings(desk, Settings(colour_code=ColourCode.AHA))
    page = client.get("/guide/right-sided").text
    assert "<b>V4</b> <span>brown and blue</span>" in page
    assert "cable-white" in page, "the right arm's"


def test_a_child_gets_v4r_for_v3_and_v3_as_a_ring(client: TestClient) -> None:
    page = client.get("/guide/paediatric").text
    assert page.count('class="open-ring"') == 1
    assert '<text class="site site-open" x="247" y="226">V3</text>' in page
    assert ">V4R</text>" in page


def test_the_large_size_is_kept_from_placement_to_placement(client: TestClient) -> None:
    page = client.get("/guide/posterior?size=large").text
    assert 'class="page guide read-aloud"' in page
    assert 'href="/guide/torso?size=large"' in page
    assert "read-aloud" not in client.get("/guide/posterior").text
    assert client.get("/guide/posterior?size=huge").status_code == 422


def test_what_there_is_no_guide_to_is_not_found(client: TestClient) -> None:
    answer = client.get("/guide/upside-down")
    assert answer.status_code == 404
    assert "choose one of standard, right-sided" in answer.text
    assert client.post("/guide/standard").status_code == 405
    assert client.get("/guide").headers["location"] == "/guide/standard"


def test_the_order_shows_the_chosen_placement(client: TestClient, order_id: int) -> None:
    page = client.get(f"/orders/{order_id}").text
    assert 'href="?placement=posterior#placement"' in page
    assert 'href="/guide/standard"' in page
    page = client.get(f"/orders/{order_id}?placement=posterior").text
    assert 'aria-current="page">Posterior chest leads</a>' in page
    assert 'href="/guide/posterior"' in page
    assert client.get(f"/orders/{order_id}?placement=sideways").status_code == 404
