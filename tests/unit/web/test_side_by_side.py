"""A later attempt under the one before it: which leads, which seconds, and who may see it."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from fastapi.testclient import TestClient

from couchside.service import Desk, Received, open_recording
from couchside.service.trail import list_trail
from couchside.store.words import Role
from couchside.web.contexts.side_by_side import draw_side_by_side, find_shown

Bring = Callable[..., Received]
ComeAs = Callable[[Role | None], TestClient]


@pytest.fixture
def ids(bring: Bring, order_id: int) -> tuple[int, int]:
    """Two attempts: mains interference at V3, then none."""
    assert order_id
    first, second = bring("mains-on-v3").recording, bring("good").recording
    assert first is not None
    assert second is not None
    return first.id, second.id


def test_the_page_shows_the_named_lead_of_both(client: TestClient, ids: tuple[int, int]) -> None:
    address = f"/recordings/{ids[1]}/side-by-side.svg"
    assert address in client.get(f"/recordings/{ids[1]}").text
    drawing = client.get(address)
    assert drawing.status_code == 200
    assert drawing.headers["content-type"] == "image/svg+xml"
    assert "of two recordings, one above the other" in drawing.text
    assert "Leads V3" in drawing.text
    first = client.get(f"/recordings/{ids[0]}/side-by-side.svg")
    assert first.status_code == 404


def test_the_fault_of_the_earlier_attempt_chooses_the_lead(
    desk: Desk, ids: tuple[int, int]
) -> None:
    before, after = (open_recording(desk, each) for each in ids)
    finding = find_shown(before, after)
    assert finding is not None
    assert finding.leads[0] == "V3"
    assert draw_side_by_side(before, after) is not None


def test_nothing_noticed_draws_nothing(desk: Desk, bring: Bring, order_id: int) -> None:
    assert order_id
    received = [bring("good").recording, bring("good").recording]
    opened = [open_recording(desk, each.id) for each in received if each is not None]
    assert [each.assessment.findings for each in opened] == [(), ()]
    assert draw_side_by_side(*opened) is None


def test_seeing_it_is_a_look_at_both_attempts(
    desk: Desk, come_as: ComeAs, ids: tuple[int, int]
) -> None:
    address = f"/recordings/{ids[1]}/side-by-side.svg"
    assert come_as(None).get(address).status_code == 303
    assert come_as(Role.READER).get(address).status_code == 200
    looks = {each.subject_id for each in list_trail(desk, count=50) if each.what == "viewed"}
    assert looks == {str(each) for each in ids}


def test_an_electrode_without_contact_is_not_praised_for_its_silence(
    client: TestClient, bring: Bring, order_id: int
) -> None:
    assert order_id
    first, second = bring("lost-contact-v2").recording, bring("good").recording
    assert first is not None
    assert second is not None
    page = client.get(f"/recordings/{second.id}").text
    part = page[page.index('id="progress"') : page.index('id="circumstances"')]
    assert "Lost contact: V2 electrode" in part
    assert "Noise, V2 electrode" not in part
