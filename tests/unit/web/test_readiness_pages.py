"""Recorders on the pages: the list, one recorder, its check, its faults, and the round."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import timedelta
from types import MappingProxyType

import pytest
from fastapi.testclient import TestClient
from tests.unit.web.test_calibration_page import hand_in

from couchside.service import Desk
from couchside.service.checklists import CHECKLIST_FILE, choose_checklist
from couchside.service.clocks import read_clock
from couchside.store.words import PartOfDay, Role
from couchside.web.contexts.readiness_view import format_span, say_clock

ComeAs = Callable[[Role | None], TestClient]
FACTS = {"name": "Cart 1", "place": "Ward 3", "serial_number": "S-1"}


@pytest.fixture
def cart(client: TestClient) -> str:
    answer = client.post("/readiness", data=FACTS)
    assert answer.status_code == 303
    return answer.headers["location"]


def answer_all(desk: Desk, other: Mapping[str, str] = MappingProxyType({})) -> dict[str, str]:
    part = PartOfDay.START
    items = choose_checklist(desk.data_folder).list_items(part)
    typed = {f"answer-{item.name}": "done" for item in items}
    head = {"part": part.value, "day": desk.today().isoformat(), "seen_number": "0"}
    return head | typed | dict(other)


def test_an_empty_register_says_so_and_the_round_says_nothing(client: TestClient) -> None:
    assert "No recorder is registered yet." in client.get("/readiness").text
    assert "recorders-line" not in client.get("/round").text


def test_a_recorder_is_checked_and_the_round_says_so(
    client: TestClient, desk: Desk, cart: str
) -> None:
    assert "Not checked today" in client.get("/round").text
    assert client.get("/round?day=2026-03-04").text.count("recorders-line") == 0
    form = client.get(f"{cart}/check").text
    assert "This checklist is an example; local protocol comes first." in form
    assert "No pulse of this recorder has arrived yet." in form
    assert "Clock: too few arrivals" in form
    soon = desk.today() + timedelta(days=3)
    typed = answer_all(desk) | {"lots": ["L-7", ""], "expiries": [soon.isoformat(), ""]}
    assert client.post(f"{cart}/check", data=typed).headers["location"] == cart
    page = client.get(cart).text
    assert "Checked today" in page
    assert "electrodes of lot L-7 expire on" in page
    assert "everything done" in page
    again = client.post(f"{cart}/check", data=typed)
    assert again.status_code == 409
    assert "Test Person checked this recorder meanwhile" in again.text
    assert "Checked today: Test Person" in client.get(f"{cart}/check").text
    assert 'value="L-7"' in client.get(f"{cart}/check").text
    assert "Electrodes beside the recorder" not in client.get(f"{cart}/check?part=end").text
    assert client.get(f"{cart}/check?part=noon").status_code == 422


def test_a_fault_found_takes_it_out_of_use_until_it_is_closed(
    client: TestClient, desk: Desk, cart: str
) -> None:
    fault = {"answer-cables": "fault found", "words-cables": "V3 <clip>", "is_out_of_use": "true"}
    assert client.post(f"{cart}/check", data=answer_all(desk, fault)).status_code == 303
    for page in ("/round", "/readiness", cart):
        text = client.get(page).text
        assert "Out of use" in text
        assert "V3 &lt;clip&gt;" in text
    done = {"seen_number": "0", "words": "new clip", "closes": "true"}
    assert client.post("/faults/1", data=done).headers["location"] == f"{cart}#faults"
    assert client.post("/faults/1", data=done).status_code == 409
    assert "1 recorder checked today" in client.get("/round").text
    text = client.get(cart).text
    assert "No fault is open." in text
    assert "new clip · closed" in text


def test_bad_input_gets_one_sentence(client: TestClient, desk: Desk, cart: str) -> None:
    wrong = (
        ({"answer-cables": "perhaps"}, "is no answer; load the page again"),
        ({"answer-cables": "fault found"}, "a fault was found; write which"),
        ({"lots": "L-7", "expiries": "soon"}, "is no date of expiry; write it like 2027-03"),
        ({"day": ""}, "the check does not say its day"),
    )
    for typed, sentence in wrong:
        answer = client.post(f"{cart}/check", data=answer_all(desk, typed))
        assert answer.status_code == 422, answer.text
        assert sentence.casefold() in answer.text.casefold()
    assert client.post(f"{cart}/faults", data={"words": " "}).status_code == 422
    assert client.post("/readiness", data=FACTS).status_code == 422
    for nothing in ("/recorders/99", f"/recorders/{10**30}", "/recorders/99/check"):
        assert client.get(nothing).status_code == 404
    assert client.post("/faults/99", data={"seen_number": "0", "words": "x"}).status_code == 404


def test_a_pulse_of_nobody_knows_whose_is_offered_and_then_shown(
    client: TestClient, desk: Desk, cart: str
) -> None:
    recording = hand_in(desk, 900.0)
    assert "Calibration pulses of an unknown recorder" in client.get("/readiness").text
    form = {"is_pulse": "yes", "seen_number": "1", "recorder": cart.rpartition("/")[2]}
    client.post(recording.replace("/calibration", "/pulse"), data=form)
    assert "Pulse does not pass" in client.get("/round").text
    assert "Today’s pulse" in client.get(f"{cart}/check").text
    assert cart in client.get(recording).text


def test_a_broken_checklist_says_what_is_wrong(client: TestClient, desk: Desk, cart: str) -> None:
    (desk.data_folder / CHECKLIST_FILE).write_text("title = 3\n", encoding="utf-8")
    text = client.get(f"{cart}/check").text
    assert "readiness.toml, line 1: title is 3" in text
    assert "the shipped example is used instead" in text


def test_who_may_register_who_may_check_and_who_may_look(come_as: ComeAs, desk: Desk) -> None:
    lead, recorder, reader = come_as(Role.LEAD), come_as(Role.RECORDER), come_as(Role.READER)
    assert recorder.post("/readiness", data=FACTS).status_code == 403
    cart = lead.post("/readiness", data=FACTS).headers["location"]
    assert "Register a recorder" in lead.get("/readiness").text
    assert "Register a recorder" not in recorder.get("/readiness").text
    assert reader.post(f"{cart}/check", data=answer_all(desk)).status_code == 403
    assert recorder.post(f"{cart}/check", data=answer_all(desk)).status_code == 303
    assert "Log a fault…" in recorder.get(cart).text
    seen = reader.get(cart).text
    assert "Checked today" in seen
    assert "Log a fault…" not in seen
    assert "Retire…" not in recorder.get(cart).text
    assert come_as(None).get(cart).status_code == 303
    moved = FACTS | {"place": "Day surgery", "seen_number": "1"}
    assert lead.post(cart, data=moved).headers["location"] == cart
    gone = {"seen_number": "2", "because": "replaced"}
    assert lead.post(f"{cart}/retire", data=gone).headers["location"] == "/readiness"
    assert "Retired" in reader.get("/readiness").text


def test_a_clock_is_told_in_words_with_figures() -> None:
    behind = say_clock(read_clock([420.0, 424.0, 430.0, 900.0]))
    assert behind == (
        "Clock: 7 min behind, or its files always come that late; "
        "the quickest of 4 files came 7 min after their end."
    )
    assert say_clock(read_clock([-3600.0] * 3)).endswith("Whole hours: look for summer time.")
    assert "nothing can be said of it" in say_clock(read_clock([300.0, 3600.0, 7200.0]))
    assert (format_span(89.4), format_span(-90.0), format_span(5400.0)) == (
        "89 s", "−2 min", "1 h 30 min",
    )  # fmt: skip
