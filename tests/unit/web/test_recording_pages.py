"""A recording: shown, decided on, filed, drawn."""

from __future__ import annotations

import re
from typing import Protocol

import pytest
from fastapi.testclient import TestClient

from couchside.recording import Patient
from couchside.service import Desk, NewOrder, Received, add_order, list_round, open_recording

SEEN = {"seen_number": "0", "advised": "record again"}
"""What the page of a recording with a fault stood on."""

UNKNOWN = ["/recordings/7", "/recordings/0", "/recordings/-1", "/recordings/99999999999999999999"]


class Bring(Protocol):
    """Hands in a simulated recording."""

    def __call__(
        self, scenario: str = "good", *, patient: Patient = ..., name: str = ...
    ) -> Received:
        """Receive it."""


@pytest.fixture
def faulty_id(order_id: int, bring: Bring) -> int:
    """A recording with mains interference at V3, under the order."""
    recording = bring("mains-on-v3").recording
    assert recording is not None
    return recording.id


def test_the_answer_comes_first(client: TestClient, faulty_id: int) -> None:
    text = client.get(f"/recordings/{faulty_id}").text
    parts = [
        "Record again</span></h2>",
        "V3 electrode",
        "What was noticed",
        'id="tracing"',
        "Measures",
    ]
    places = [text.index(part) for part in parts]
    assert places == sorted(places)


def test_each_leads_waves_and_levels_stand_under_the_measures(
    client: TestClient, faulty_id: int
) -> None:
    text = client.get(f"/recordings/{faulty_id}").text
    table = text.partition("Waves and ST level of each lead, in mV")[2].partition("</table>")[0]
    assert [head.partition("<")[0] for head in table.split('class="number">')[1:13]] == [
        "P", "Q", "R", "S", "R&#39;", "S&#39;", "T", "J", "+20", "+40", "+60", "+80",
    ]  # fmt: skip
    assert table.count('<th scope="row">') == 12
    assert "A QS stands under Q." in text


@pytest.mark.parametrize(("code", "label"), [("IEC", "C3"), ("AHA", "V3")])
def test_the_cable_is_named_in_the_chosen_code(
    client: TestClient, faulty_id: int, code: str, label: str
) -> None:
    client.post("/settings", data={"colour_code": code, "paper_size": "A4"})
    text = client.get(f"/recordings/{faulty_id}").text
    assert f"<b>{label}</b>" in text
    words = {"IEC": "white and green", "AHA": "brown and green"}[code]
    assert f"<span>{words}</span>" in text


def test_a_finding_shows_its_evidence_to_scale(client: TestClient, faulty_id: int) -> None:
    address = f"/recordings/{faulty_id}/findings/1.svg"
    assert address in client.get(f"/recordings/{faulty_id}").text
    drawing = client.get(address)
    assert drawing.headers["content-type"] == "image/svg+xml"
    assert re.search(r'<svg[^>]*width="[\d.]+mm"', drawing.text)
    assert "script" not in drawing.headers["content-security-policy"]


@pytest.mark.parametrize("number", ["0", "99", "-1", "one"])
def test_an_unknown_finding_is_not_found(client: TestClient, faulty_id: int, number: str) -> None:
    assert client.get(f"/recordings/{faulty_id}/findings/{number}.svg").status_code == 404


@pytest.mark.parametrize("path", UNKNOWN)
@pytest.mark.parametrize("rest", ["", "/newer", "/page.pdf", "/page.svg", "/findings/1.svg"])
def test_an_unknown_recording_is_not_found(client: TestClient, path: str, rest: str) -> None:
    answer = client.get(path + rest)
    assert answer.status_code == 404
    assert "there is no recording" in answer.text.lower() or "no such page" in answer.text


@pytest.mark.parametrize("path", UNKNOWN)
def test_nothing_is_decided_on_an_unknown_recording(client: TestClient, path: str) -> None:
    answer = client.post(f"{path}/decision", data={"kind": "keep", **SEEN})
    assert answer.status_code == 404


def test_a_wrong_method_is_answered_kindly(client: TestClient, faulty_id: int) -> None:
    assert client.get(f"/recordings/{faulty_id}/decision").status_code == 405
    assert client.delete(f"/recordings/{faulty_id}").status_code == 405


@pytest.mark.parametrize(
    ("form", "words"),
    [
        ({"kind": "keep", "reason": "No time for another"}, "Kept"),
        (
            {"kind": "keep with remark", "remark": "Mains at V3", "reason": "No time for another"},
            "Kept with a remark",
        ),
        ({"kind": "record again", "reason": "Mains interference"}, "To be recorded again"),
        ({"kind": "could not be recorded", "reason_text": "Went home"}, "Could not be recorded"),
    ],
)
def test_a_decision_stands(
    client: TestClient, faulty_id: int, form: dict[str, str], words: str
) -> None:
    answer = client.post(f"/recordings/{faulty_id}/decision", data=SEEN | form)
    assert answer.status_code == 303
    text = client.get(f"/recordings/{faulty_id}").text
    assert f"<b>{words}</b>" in text
    assert "Test Person" in text
    assert 'name="seen_number" value="1"' in text


def test_recording_again_stays_and_waits(client: TestClient, faulty_id: int, bring: Bring) -> None:
    form = {"kind": "record again", "reason": "Mains", **SEEN}
    answer = client.post(f"/recordings/{faulty_id}/decision", data=form)
    assert answer.headers["location"] == f"/recordings/{faulty_id}"
    assert "Waiting for attempt 2." in client.get(f"/recordings/{faulty_id}").text
    assert client.get(f"/recordings/{faulty_id}/newer?seen=1&shown=1").status_code == 204
    second = bring().recording
    assert second is not None
    newer = client.get(f"/recordings/{faulty_id}/newer?seen=1&shown=1")
    assert f"Attempt 2 arrived at {second.received_at:%H:%M}:" in newer.text
    assert f'href="/recordings/{second.id}">Open attempt 2</a>' in newer.text
    assert "seen=1&amp;shown=2" in newer.text


@pytest.mark.parametrize(
    ("form", "sentence"),
    [
        ({"kind": "record again"}, "The reason is empty"),
        ({"kind": "record again", "reason": "  ", "reason_text": "\t"}, "The reason is empty"),
        ({"kind": "keep with remark"}, "The remark is empty"),
        ({"kind": "keep"}, "Recording again is advised; give the reason"),
        ({"kind": "keep", "reason": "so", "advised": "keep"}, "The advice is record again by now"),
        ({"kind": "keep", "reason": "so", "advised": "burn"}, "“advised” could not be used"),
        ({"kind": "keep with remark", "remark": "x" * 2001}, "up to 2000 are kept"),
        ({"kind": "burn"}, "“kind” could not be used"),
        ({"kind": "keep", "seen_number": "many"}, "“seen number” could not be used"),
    ],
)
def test_half_a_decision_is_sent_back(
    client: TestClient, faulty_id: int, form: dict[str, str], sentence: str
) -> None:
    answer = client.post(f"/recordings/{faulty_id}/decision", data=SEEN | form)
    assert answer.status_code == 422
    assert sentence in answer.text
    assert "<b>Kept" not in client.get(f"/recordings/{faulty_id}").text


def test_a_decision_that_saw_no_advice_is_sent_back(client: TestClient, faulty_id: int) -> None:
    form = {"kind": "record again", "reason": "Mains", "seen_number": "0"}
    answer = client.post(f"/recordings/{faulty_id}/decision", data=form)
    assert answer.status_code == 422
    assert "does not say which advice was on the page" in answer.text


def test_the_advised_way_comes_first_and_keeping_against_it_asks(
    client: TestClient, faulty_id: int, bring: Bring
) -> None:
    text = client.get(f"/recordings/{faulty_id}").text
    row = text[text.index('class="ways"') : text.index('class="form way-form"')]
    words = ["Record again…", "Keep all the same…", "Keep with a remark…", "Could not be recorded…"]
    places = [row.index(each) for each in words]
    assert places == sorted(places)
    assert "<button" not in row
    assert "Couchside advises recording again. Keep this one all the same?" in text
    good = bring().recording
    assert good is not None
    text = client.get(f"/recordings/{good.id}").text
    assert '<button name="kind" value="keep" accesskey="k" class="primary">' in text


def test_the_slower_of_two_deciders_is_told(client: TestClient, faulty_id: int) -> None:
    form = {"kind": "keep", "reason": "Nobody can come back", **SEEN}
    assert client.post(f"/recordings/{faulty_id}/decision", data=form).status_code == 303
    answer = client.post(f"/recordings/{faulty_id}/decision", data=form)
    assert answer.status_code == 409
    assert "decided meanwhile" in answer.text


def test_a_stray_recording_is_filed_by_hand(
    client: TestClient, desk: Desk, order_id: int, bring: Bring
) -> None:
    stray = bring(patient=Patient(identifier="T-9", family_name="Nobody")).recording
    assert stray is not None
    text = client.get(f"/recordings/{stray.id}").text
    because = "lies under no order: no order of today waits for patient T-9."
    assert text.index(because) < text.index(">File</button>")
    assert 'class="ways"' not in text
    keep = {"kind": "keep", "seen_number": "0", "advised": stray.verdict.value}
    refused = client.post(f"/recordings/{stray.id}/decision", data=keep)
    assert refused.status_code == 422
    assert "file it under its person first" in refused.text
    answer = client.post(f"/recordings/{stray.id}/match", data={"order_id": str(order_id)})
    assert answer.status_code == 303
    assert open_recording(desk, stray.id).order is not None
    assert "The file names another person: Nobody" in client.get(f"/recordings/{stray.id}").text


def test_a_recording_under_the_wrong_order_is_filed_elsewhere(
    client: TestClient, desk: Desk, order_id: int, faulty_id: int
) -> None:
    other = add_order(desk, NewOrder(patient=Patient(identifier="T-2", family_name="Reed")))
    assert "File this one elsewhere…" in client.get(f"/recordings/{faulty_id}").text
    form = {"from_order_id": str(order_id), "order_id": str(other.id), "reason": "Mixed up"}
    refused = client.post(f"/recordings/{faulty_id}/move", data=form | {"reason": ""})
    assert refused.status_code == 422
    answer = client.post(f"/recordings/{faulty_id}/move", data=form)
    assert answer.headers["location"] == f"/recordings/{faulty_id}"
    opened = open_recording(desk, faulty_id)
    assert opened.order == other
    assert (
        "The file names another person: Quill, Ada" in client.get(f"/recordings/{faulty_id}").text
    )
    again = client.post(f"/recordings/{faulty_id}/move", data=form)
    assert again.status_code == 409
    assert "filed elsewhere meanwhile" in again.text


@pytest.mark.parametrize("order", ["", "no", "99", "99999999999999999999"])
def test_a_recording_is_not_filed_under_nobody(
    client: TestClient, desk: Desk, bring: Bring, order: str
) -> None:
    stray = bring().recording
    assert stray is not None
    answer = client.post(f"/recordings/{stray.id}/match", data={"order_id": order})
    assert answer.status_code in {404, 422}
    assert len(list_round(desk).unmatched) == 1


@pytest.mark.parametrize(("kind", "begins"), [("pdf", b"%PDF-"), ("svg", b"<")])
@pytest.mark.parametrize("layout", ["3x4+1", "6x2", "12x1"])
def test_the_page_to_scale_is_handed_out(
    client: TestClient, faulty_id: int, kind: str, begins: bytes, layout: str
) -> None:
    page = client.get(f"/recordings/{faulty_id}/page.{kind}", params={"layout": layout})
    assert page.status_code == 200
    assert page.content.startswith(begins)
    assert "inline" in page.headers["content-disposition"]


def test_an_unknown_layout_is_said_to_be_none(client: TestClient, faulty_id: int) -> None:
    answer = client.get(f"/recordings/{faulty_id}/page.pdf?layout=../../etc/passwd")
    assert answer.status_code == 422


def test_without_a_script_the_page_to_scale_stands_in(client: TestClient, faulty_id: int) -> None:
    text = client.get(f"/recordings/{faulty_id}").text
    assert re.search(r"<noscript>.*page\.svg.*</noscript>", text, re.DOTALL)
