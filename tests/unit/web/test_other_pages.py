"""Orders, uploads, settings, help, the API, and names that try to be markup."""

from __future__ import annotations

import re
import struct
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Protocol

import numpy as np
import pytest
from fastapi.testclient import TestClient

import couchside.web
from couchside.measures.model import Measured, MeasureName, Measures
from couchside.quality.model import Finding, FindingKind, Verdict
from couchside.recording import Electrode, Patient
from couchside.service import Desk, Received, list_round, open_recording
from couchside.store.words import Role
from couchside.web.contexts.finding_view import describe_sureness
from couchside.web.contexts.measure_view import view_measures
from couchside.web.contexts.verdict_view import describe_cause
from couchside.web.rendering import get_static_version

SCRIPT = "<script>alert('x')</script>"


class Bring(Protocol):
    """Hands in a simulated recording."""

    def __call__(
        self, scenario: str = "good", *, patient: Patient = ..., name: str = ...
    ) -> Received:
        """Receive it."""


def test_a_person_is_put_on_the_round_by_hand(client: TestClient, desk: Desk) -> None:
    assert client.get("/orders/new").status_code == 200
    form = {
        "identifier": "T-5",
        "family_name": "Quill",
        "birth_date": "1950-12-31",
        "due": "14:30",
        "urgency": "stat",
    }
    assert client.post("/orders", data=form).status_code == 303
    order = list_round(desk).entries[0].order
    assert (order.patient.identifier, order.urgency) == ("T-5", "stat")
    assert order.due_at == datetime.combine(desk.today(), datetime.min.time(), UTC).replace(
        hour=14, minute=30
    )


@pytest.mark.parametrize(
    ("form", "sentence"),
    [
        ({"family_name": "Quill"}, "number"),
        ({"identifier": "1", "family_name": "Q", "birth_date": "31.12.1950"}, "is not a date"),
        ({"identifier": "1", "family_name": "Q", "due": "noon"}, "is not a time of day"),
        ({"identifier": "1", "family_name": "Q", "sex": "yes"}, "“sex” could not be used"),
        ({"identifier": "1" * 65, "family_name": "Q"}, "The patient number has 65 characters"),
        ({"identifier": "1", "family_name": "Q" * 65}, "The family name has 65 characters"),
    ],
)
def test_a_person_that_cannot_be_is_sent_back(
    client: TestClient, desk: Desk, form: dict[str, str], sentence: str
) -> None:
    answer = client.post("/orders", data=form)
    assert answer.status_code == 422
    assert sentence in answer.text
    assert not list_round(desk).entries


def test_a_taken_number_is_nobodys_race(client: TestClient, order_id: int) -> None:
    form = {"identifier": "T-1", "family_name": "Reed", "birth_date": "1999-01-01"}
    answer = client.post("/orders", data=form)
    assert answer.status_code == 422
    assert "Patient T-1 is filed with the birth date 1960-05-17" in answer.text
    assert "Somebody else" not in answer.text


def test_a_person_can_be_said_not_to_be_recorded(client: TestClient, order_id: int) -> None:
    assert "Nothing is recorded yet." in client.get(f"/orders/{order_id}").text
    form = {"kind": "could not be recorded", "reason": "The person declined", "seen_number": "0"}
    assert client.post(f"/orders/{order_id}/decision", data=form).status_code == 303
    assert "The person declined" in client.get(f"/orders/{order_id}").text
    assert "Could not be recorded" in client.get("/round").text


def test_who_left_is_gone_and_may_be_expected_again(client: TestClient, order_id: int) -> None:
    address = f"/orders/{order_id}/decision"
    form = {"kind": "gone", "reason": "Went home", "reason_text": "called", "seen_number": "0"}
    assert client.post(address, data=form).headers["location"] == "/round"
    assert "<b>1</b> gone" in client.get("/round").text
    assert "<b>1</b> gone" in client.get("/round/end").text
    assert "Went home; called" in client.get("/round").text
    again = {"kind": "expected again", "seen_number": "1"}
    assert "Expect this person again" in client.get(f"/orders/{order_id}").text
    assert client.post(address, data=again).status_code == 303
    assert "<b>1</b> waiting" in client.get("/round").text
    assert client.post(address, data=again | {"seen_number": "2"}).status_code == 422


def test_a_reader_sees_who_is_gone_and_says_it_of_nobody(
    come_as: Callable[[Role | None], TestClient], order_id: int
) -> None:
    form = {"kind": "gone", "reason": "Went home", "seen_number": "0"}
    reader = come_as(Role.READER)
    assert f"/orders/{order_id}/decision" not in reader.get(f"/orders/{order_id}").text
    assert reader.post(f"/orders/{order_id}/decision", data=form).status_code == 403
    stranger = come_as(None).post(f"/orders/{order_id}/decision", data=form)
    assert stranger.headers["location"].startswith("/sign-in")
    recorder = come_as(Role.RECORDER)
    assert f"/orders/{order_id}/decision" in recorder.get(f"/orders/{order_id}").text
    assert recorder.post(f"/orders/{order_id}/decision", data=form).status_code == 303


def test_who_left_before_the_repeat_is_gone_from_the_recording(
    client: TestClient, order_id: int, bring: Callable[..., Received]
) -> None:
    received = bring()
    assert received.recording is not None
    page = f"/recordings/{received.recording.id}"
    assert "Gone…" not in client.get(page).text
    again = {"kind": "record again", "reason_text": "x", "seen_number": "0", "advised": "keep"}
    assert client.post(f"{page}/decision", data=again).status_code == 303
    assert "Gone…" in client.get(page).text
    form = {"kind": "gone", "reason": "Went home", "seen_number": "0"}
    assert client.post(f"/orders/{order_id}/decision", data=form).status_code == 303
    assert "Expect this person again" in client.get(page).text
    bring()
    assert "<b>1</b> to decide" in client.get("/round").text


@pytest.mark.parametrize("identity", ["0", "99", "-3", "99999999999999999999", "x"])
def test_an_unknown_order_is_not_found(client: TestClient, identity: str) -> None:
    assert client.get(f"/orders/{identity}").status_code == 404
    form = {"kind": "gone", "reason": "left", "seen_number": "0"}
    assert client.post(f"/orders/{identity}/decision", data=form).status_code == 404


def test_an_order_is_not_deleted(client: TestClient, order_id: int) -> None:
    assert client.delete(f"/orders/{order_id}").status_code == 405


def test_one_upload_leads_to_its_recording(
    client: TestClient, order_id: int, csv_file: bytes
) -> None:
    answer = client.post("/upload", files={"files": ("one.csv", csv_file)})
    assert answer.status_code == 303
    assert re.fullmatch(r"/recordings/\d+", answer.headers["location"])


def test_several_uploads_say_what_became_of_each(client: TestClient, csv_file: bytes) -> None:
    files = [("files", ("one.csv", csv_file)), ("files", ("two.txt", b"no table"))]
    answer = client.post("/upload", files=files)
    assert answer.status_code == 200
    assert "one.csv" in answer.text
    assert "two.txt" in answer.text


def test_a_file_name_carries_no_folders(client: TestClient, desk: Desk, csv_file: bytes) -> None:
    for name in ("../../etc/cron.d/one.csv", "C:\\data\\one.csv", "/etc/one.csv"):
        client.post("/upload", files={"files": (name, csv_file)})
    names = {file.name for each in list_round(desk).unmatched for file in each.files}
    assert names == {"one.csv"}


@pytest.mark.parametrize("files", [None, {"files": ("", b"")}])
def test_no_upload_is_said_to_be_none(
    client: TestClient, files: dict[str, tuple[str, bytes]] | None
) -> None:
    answer = client.post("/upload", files=files)
    assert answer.status_code == 422
    assert "file" in answer.text


def test_the_upload_form_is_shown(client: TestClient) -> None:
    assert 'enctype="multipart/form-data"' in client.get("/upload").text
    assert client.delete("/upload").status_code == 405


def test_settings_are_kept(client: TestClient) -> None:
    client.post("/settings", data={"colour_code": "AHA", "paper_size": "letter"})
    text = client.get("/settings?saved=yes").text
    assert 'value="AHA" checked' in text
    assert 'value="letter" checked' in text
    assert "Saved." in text


@pytest.mark.parametrize("form", [{}, {"colour_code": "EU", "paper_size": "A4"}])
def test_settings_that_cannot_be_are_sent_back(client: TestClient, form: dict[str, str]) -> None:
    assert client.post("/settings", data=form).status_code == 422


def test_every_key_that_a_page_offers_is_in_the_help(client: TestClient) -> None:
    templates = Path(couchside.web.__file__).parent / "templates"
    offered = {
        key.upper()
        for template in templates.glob("*.html")
        for key in re.findall(r'accesskey="(\w)"', template.read_text())
    }
    documented = set(re.findall(r"<kbd>(\w)</kbd>", client.get("/help").text))
    assert offered
    assert offered <= documented


def test_the_help_bears_the_cautions(client: TestClient) -> None:
    text = client.get("/help").text
    assert "not a medical device" in text
    assert "a clinician reads every ECG" in text


def test_a_name_cannot_be_markup(client: TestClient, bring: Bring) -> None:
    patient = Patient(identifier=f"1{SCRIPT}", family_name=SCRIPT, given_name='"><img src=x>')
    stray = bring(patient=patient).recording
    assert stray is not None
    form = {"identifier": SCRIPT, "family_name": SCRIPT, "place": SCRIPT, "reason": SCRIPT}
    client.post("/orders", data=form)
    client.post(f"/recordings/{stray.id}/match", data={"order_id": "1"})
    remark = {"kind": "keep with remark", "remark": SCRIPT, "seen_number": "0"}
    remark["advised"] = stray.verdict.value
    assert client.post(f"/recordings/{stray.id}/decision", data=remark).status_code == 303
    client.post("/upload", files={"files": (f"{SCRIPT}.txt", b"no table")})
    pages = ["/round", f"/recordings/{stray.id}", "/orders/1", f"/recordings/{stray.id}/page.svg"]
    for page in pages:
        text = client.get(page).text
        assert "<script>alert" not in text, page
        assert "<img src=x>" not in text, page
        assert "&lt;script&gt;alert" in text, page


def test_no_page_brings_a_script_or_style_of_its_own(client: TestClient, bring: Bring) -> None:
    recording = bring("mains-on-v3").recording
    assert recording is not None
    for page in (
        "/round",
        f"/recordings/{recording.id}",
        "/upload",
        "/settings",
        "/help",
        "/nowhere",
    ):
        text = client.get(page).text
        assert not re.search(r"<script(?![^>]*\bsrc=)", text), page
        assert not re.search(r"<style|\sstyle=|\son\w+=", text), page
        assert not re.search(r'(?:src|href|action)="(?:https?:)?//', text), page


def test_the_samples_are_those_of_the_recording(
    client: TestClient, desk: Desk, bring: Bring
) -> None:
    summary = bring().recording
    assert summary is not None
    recording = open_recording(desk, summary.id).recording
    answer = client.get(f"/api/recordings/{summary.id}/samples?start_s=2&length_s=3")
    leads = answer.headers["x-leads"].split(",")
    rate_hz = float(answer.headers["x-rate-hz"])
    values = np.frombuffer(answer.content, dtype="<f4").reshape(len(leads), -1)
    wanted = recording.microvolts[:, round(2 * rate_hz) : round(5 * rate_hz)]
    assert tuple(leads) == recording.leads
    np.testing.assert_allclose(values, wanted, rtol=2**-23)  # float32 carries 24 bits
    assert struct.calcsize("<f") * values.size == len(answer.content)


@pytest.mark.parametrize(
    "query", ["start_s=-1", "length_s=0", "length_s=1e9", "start_s=nan", "start_s=x"]
)
def test_a_stretch_that_cannot_be_is_sent_back(
    client: TestClient, bring: Bring, query: str
) -> None:
    summary = bring().recording
    assert summary is not None
    answer = client.get(f"/api/recordings/{summary.id}/samples?{query}")
    assert answer.status_code == 422
    assert "could not be used" in answer.json()["sentence"]


def test_beyond_the_end_there_is_nothing(client: TestClient, bring: Bring) -> None:
    summary = bring().recording
    assert summary is not None
    answer = client.get(f"/api/recordings/{summary.id}/samples?start_s=1e300")
    assert (answer.status_code, answer.content) == (200, b"")


def test_the_assessment_is_given_as_json(client: TestClient, bring: Bring) -> None:
    summary = bring("mains-on-v3").recording
    assert summary is not None
    document = client.get(f"/api/recordings/{summary.id}").json()
    assert (document["document"], document["verdict"]) == ("assessment", "record again")


@pytest.mark.parametrize("rest", ["", "/samples"])
def test_the_api_answers_an_unknown_recording_in_json(client: TestClient, rest: str) -> None:
    answer = client.get(f"/api/recordings/77{rest}")
    assert answer.status_code == 404
    assert answer.json()["sentence"].endswith(".")
    assert client.post(f"/api/recordings/77{rest}").status_code == 405


def test_the_health_is_told(client: TestClient) -> None:
    assert client.get("/api/health").json()["status"] == "ready"


@pytest.mark.parametrize("name", ["../app.py", "..%2fapp.py", "%2e%2e/app.py", "....//app.py"])
def test_static_files_are_not_left(client: TestClient, name: str) -> None:
    assert client.get(f"/static/{get_static_version()}/{name}").status_code == 404


def test_static_files_are_kept_by_the_browser(client: TestClient) -> None:
    answer = client.get(f"/static/{get_static_version()}/base.css")
    assert answer.status_code == 200
    assert "immutable" in answer.headers["cache-control"]


@pytest.mark.parametrize(
    ("confidence", "words"),
    [(0.98, "Sure (98%)"), (0.7, "Fairly sure (70%)"), (0.2, "Not sure (20%)")],
)
def test_sureness_is_said_in_words(confidence: float, words: str) -> None:
    assert describe_sureness(confidence) == words


def test_every_measure_has_a_name_to_show() -> None:
    for name in MeasureName:
        measured = Measured(name=name, value=None, unit="ms", method="none", reason="no beat")
        (row,) = view_measures(Measures(values=(measured,)))
        assert row.name
        assert row.reason == "no beat"


@pytest.mark.parametrize(
    ("electrodes", "words"),
    [
        ((Electrode.RA, Electrode.LA), "Right arm and left arm"),
        ((Electrode.C3,), "V3 electrode"),
        ((), "Muscle tremor"),
    ],
)
def test_a_cause_is_named_in_a_few_words(electrodes: tuple[Electrode, ...], words: str) -> None:
    finding = Finding(
        kind=FindingKind.MUSCLE_TREMOR,
        asks=Verdict.RECORD_AGAIN,
        sentence="Tremor.",
        remedy="Warm the person.",
        confidence=0.8,
        electrodes=electrodes,
    )
    assert describe_cause(finding) == words
