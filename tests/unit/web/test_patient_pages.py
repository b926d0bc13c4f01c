"""A person's page: everything recorded, drawn over time, and any two side by side."""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO

import pytest
from fastapi.testclient import TestClient
from pypdf import PdfReader
from tests.unit.web.conftest import PATIENT
from tests.unit.web.test_comparison_pages import Bring, keep

from couchside.service import Desk, NewOrder, Received, add_order
from couchside.service.patients import open_patient
from couchside.service.trail import list_trail
from couchside.store.words import Role

PAGE = "/patients?number=T-1"


@pytest.fixture
def ids(desk: Desk, order_id: int, bring: Bring) -> tuple[int, int]:
    """Two recordings of `PATIENT`, the earlier one kept."""
    earlier = keep(desk, bring())
    add_order(desk, NewOrder(patient=PATIENT))
    later = bring("good-fast-rate", name="next.csv").recording
    assert later is not None
    return earlier, later.id


def test_all_recordings_stand_newest_first(client: TestClient, ids: tuple[int, int]) -> None:
    text = client.get(PAGE).text
    earlier, later = ids
    assert text.index(f'href="/recordings/{later}"') < text.index(f'href="/recordings/{earlier}"')
    assert "Quill, Ada" in text
    assert "Kept" in text
    assert "not yet decided" in text


def test_the_measures_are_those_that_were_written_down(desk: Desk, ids: tuple[int, int]) -> None:
    visits = open_patient(desk, " T-1 ").visits
    assert [each.is_kept for each in visits] == [False, True]
    later, earlier = (
        {name.value: filed.value for name, filed in each.values.items()} for each in visits
    )
    assert set(later) == {
        "heart_rate",
        "pr_interval",
        "qrs_duration",
        "qt_interval",
        "qtc_fridericia",
    }
    assert later["heart_rate"] is not None
    assert earlier["heart_rate"] is not None
    assert later["heart_rate"] > earlier["heart_rate"] + 10


def test_the_drawings_are_handed_out(client: TestClient, ids: tuple[int, int]) -> None:
    beats = client.get("/patients/beats.svg?number=T-1")
    assert beats.headers["content-type"] == "image/svg+xml"
    assert beats.text.count('data-name="V2"') == 2
    trend = client.get("/patients/trend.svg?number=T-1&measure=qt_interval")
    assert "QT interval, ms" in trend.text
    assert client.get("/patients/trend.svg?number=T-1&measure=t_axis").status_code == 404
    assert client.get("/patients/trend.svg?number=T-1&measure=luck").status_code == 422


def test_any_two_are_compared_whichever_is_named_first(
    client: TestClient, ids: tuple[int, int]
) -> None:
    earlier, later = ids
    for query in (f"one={earlier}&other={later}", f"one={later}&other={earlier}"):
        text = client.get(f"/patients/comparison?number=T-1&{query}").text
        assert f'href="/recordings/{earlier}"' in text
        assert "Measures then and now" in text
    query = f"number=T-1&one={earlier}&other={later}"
    assert "stroke-dasharray" in client.get(f"/patients/comparison.svg?{query}").text
    assert client.get(f"/patients/comparison.pdf?{query}").content.startswith(b"%PDF")


def test_the_printed_comparison_bears_the_identity_as_amended(
    client: TestClient, ids: tuple[int, int]
) -> None:
    form = {"identifier": "T-11", "family_name": "Quillfeather", "given_name": "Ada",
            "birth_date": "1960-05-17", "sex": "female", "reason": "typed wrongly",
            "seen_number": "0"}  # fmt: skip
    assert client.post("/patients/identity?number=T-1", data=form).status_code == 303
    address = f"/patients/comparison.pdf?number=T-11&one={ids[0]}&other={ids[1]}"
    words = PdfReader(BytesIO(client.get(address).content)).pages[0].extract_text()
    assert "Quillfeather, Ada" in words
    assert "No. T-11" in words


@pytest.mark.parametrize(
    ("query", "sentence"),
    [
        ("one=1&other=1", "That is the same recording twice"),
        ("one=1&other=99", "are not both of this patient number"),
        ("one=0&other=1", "A recording has a number from 1"),
    ],
)
def test_what_cannot_be_compared_is_said(
    client: TestClient, ids: tuple[int, int], query: str, sentence: str
) -> None:
    answer = client.get(f"/patients/comparison?number=T-1&{query}")
    assert answer.status_code == 422
    assert sentence in answer.text


def test_nobody_of_that_number_is_said(client: TestClient) -> None:
    for address in ("/patients?number=none", "/patients/beats.svg?number=none"):
        answer = client.get(address)
        assert answer.status_code == 404
        assert "Nobody has the patient number" in answer.text
    assert client.get("/patients").status_code == 422


def test_a_person_of_whom_nothing_is_recorded_yet(client: TestClient, order_id: int) -> None:
    assert "Nothing was recorded of this person yet." in client.get(PAGE).text
    assert client.get("/patients/beats.svg?number=T-1").status_code == 404


def test_who_may_see_it(
    come_as: Callable[[Role | None], TestClient], desk: Desk, bring: Callable[..., Received]
) -> None:
    bring()
    assert come_as(None).get(PAGE).status_code == 303
    assert come_as(Role.READER).get(PAGE).status_code == 200
    assert come_as(Role.READER).post(PAGE).status_code in {403, 405}
    seen = [each for each in list_trail(desk, count=50) if each.subject_kind == "patient"]
    assert [(each.who, each.what, each.subject_id) for each in seen] == [
        (
            "Test reader",
            "viewed",
            "T-1",
        )
    ]
