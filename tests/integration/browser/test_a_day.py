"""A recorder's whole day, from the first pulse to the end of the round, in a real Chromium."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Iterator
from contextlib import closing
from dataclasses import replace
from datetime import UTC, date, timedelta
from io import BytesIO
from pathlib import Path
from typing import Protocol

import pydicom
import pytest
from playwright.sync_api import FilePayload, Locator, Page, expect

from couchside.formats import ArrivedFile, Parcel, write_dicom
from couchside.recording import Device, OrderReference, Patient, Recording, Sex
from couchside.service import (
    DecisionKind,
    Desk,
    NewOrder,
    RecordingDecision,
    Source,
    add_order,
    decide,
    open_desk,
    receive,
)
from couchside.service.protocols import PROTOCOL_FILE, get_example_protocol
from couchside.service.recorders import RecorderFacts, register_recorder
from couchside.service.trail import check_trail
from couchside.simulate import Scenario, get_scenario, simulate
from couchside.simulate.calibration import own_pulse_recording
from couchside.simulate.recorder import Recorder
from couchside.simulate.visits import another_visit

pytestmark = pytest.mark.browser

ROBIN = "Robin Ashgrove"
QUILL = Patient(
    identifier="T-41",
    family_name="Quill",
    given_name="Ada",
    birth_date=date(1960, 5, 17),
    sex=Sex.FEMALE,
)
FINCH = Patient(identifier="T-42", family_name="Finch", given_name="Tomas", sex=Sex.MALE)
CART = RecorderFacts(name="Cart C", place="Ward 3", serial_number="SIM-0003")
GOOD = get_scenario("good")
FAULTY = replace(GOOD, faults=get_scenario("mains-on-v3").faults)
LONG_AGO = timedelta(days=100)


class Site(Protocol):
    """A running Couchside."""

    desk: Desk
    inbox: Path


@pytest.fixture
def desk(request: pytest.FixtureRequest, tmp_path: Path, database_kind: str) -> Iterator[Desk]:
    """A round without people, one recorder, and somebody's visit of some months ago."""
    database = ""
    if database_kind == "postgresql":
        database = request.getfixturevalue("postgresql_server").make_database()
    folder = tmp_path / "data"
    with closing(open_desk(folder, who=ROBIN, zone=UTC, database=database)) as opened:
        register_recorder(opened, CART)
        file_earlier_visit(opened)
        protocol = get_example_protocol().replace("at_most = 35", "at_most = 200")
        (folder / PROTOCOL_FILE).write_text(protocol, encoding="utf-8")
        yield opened


def file_earlier_visit(desk: Desk) -> None:
    """Mains at V3 first, then a recording that was kept."""
    then = desk.now() - LONG_AGO
    add_order(desk, NewOrder(patient=QUILL, day=then.date(), accession="E-1"))
    kinds = (DecisionKind.RECORD_AGAIN, DecisionKind.KEEP)
    for minutes, (scenario, kind) in enumerate(zip((FAULTY, GOOD), kinds, strict=True)):
        earlier = another_visit(scenario, days=-LONG_AGO.days)
        recording = replace(
            take(desk, earlier, QUILL),
            start=then + timedelta(minutes=minutes),
            order=OrderReference(accession_number="E-1"),
        )
        file = ArrivedFile(name=f"then-{minutes}.dcm", content=write_dicom(recording))
        received = receive(desk, Parcel(files=(file,)), source=Source.UPLOAD).recording
        assert received is not None
        wish = RecordingDecision(recording_id=received.id, kind=kind, seen_number=0, reason="mains")
        decide(desk, wish)


@pytest.mark.parametrize("database_kind", ["sqlite", "postgresql"])
def test_a_whole_day_by_one_recorder(page: Page, site: Site, tmp_path: Path) -> None:
    check_the_recorder(page, site)
    add_by_hand(page, QUILL)
    make_sure_who_it_is(page)
    look_up_what_to_know(page)
    look_up_where_electrodes_go(page)
    record_again_for_mains(page, site)
    tell_now(page)
    write_how_it_was_taken(page)
    print_a_strip(page, tmp_path)
    keep(page)
    compare_with_the_earlier_visit(page, tmp_path)
    hand_over(page)
    file_under_its_person(page, site)
    print_the_round(page, tmp_path)
    end_the_round(page)
    assert check_trail(site.desk).broken is None


def check_the_recorder(page: Page, site: Site) -> None:
    page.goto("/readiness")
    row = page.locator(".row-recorder")
    expect(row).to_contain_text("Not checked today")
    pulse = own_pulse_recording(Recorder())
    bring(site, replace(pulse, start=site.desk.now() - timedelta(seconds=pulse.duration_s + 2)))
    row.get_by_role("link").click()
    reload_until(page, page.locator("#known ~ .lines", has_text="passes"))
    page.get_by_role("link", name="Start of day: check").click()
    for choice in page.get_by_label("Done").all():
        choice.check()
    page.get_by_label("Lot").first.fill("QB-2304")
    page.get_by_label("Good until").first.fill(f"{site.desk.today() + timedelta(days=200)}")
    page.get_by_role("button", name="Keep this check").click()
    expect(page.locator(".recorder-state")).to_contain_text("Checked today")
    page.goto("/round")
    expect(page.locator(".recorders-line")).to_contain_text("1 recorder checked today")
    expect(page.locator(".row-unmatched")).to_have_count(0)


def add_by_hand(page: Page, patient: Patient) -> None:
    page.goto("/round")
    page.get_by_role("link", name="Add a person").first.click()
    page.get_by_label("Patient number").fill(patient.identifier)
    page.get_by_label("Family name").fill(patient.family_name)
    page.get_by_label("Given name").fill(patient.given_name)
    page.get_by_label("Place").fill("Ward 3")
    page.get_by_label("Urgency").select_option("urgent")
    page.get_by_role("button", name="Put on the round").click()
    page.wait_for_url("**/round*")
    expect(row_of(page, patient).locator(".state")).to_have_text("Waiting")
    expect(row_of(page, patient)).to_contain_text("Ward 3")


def make_sure_who_it_is(page: Page) -> None:
    row_of(page, QUILL).locator("a").click()
    part = page.locator("section", has=page.locator("#identity"))
    part.get_by_label("full name, spoken").check()
    part.get_by_label("date of birth, spoken").check()
    part.get_by_role("button", name="Checked, it is this person").click()
    expect(part.locator("li")).to_contain_text(
        f"full name, spoken, date of birth, spoken · {ROBIN}"
    )


def look_up_what_to_know(page: Page) -> None:
    known = page.locator("section", has=page.locator("#knowing"))
    expect(known.locator(".earlier-lines")).to_contain_text("mains interference: V3 electrode")
    known.locator("summary").click()
    known.get_by_label("Pacemaker").check()
    known.get_by_label("In own words").fill("turns to the left")
    known.get_by_role("button", name="Note", exact=True).click()
    expect(known.locator(".known")).to_contain_text("turns to the left")
    expect(known.locator(".known")).to_contain_text("Pacemaker")
    expect(known).to_contain_text(ROBIN)


def look_up_where_electrodes_go(page: Page) -> None:
    page.locator(".guide-choices").get_by_role("link", name="Right-sided").click()
    expect(page.locator(".guide-choices [aria-current]")).to_contain_text("Right-sided")
    page.get_by_role("link", name="Each site in words").click()
    expect(page.locator("h1")).to_contain_text("Right-sided")
    page.get_by_role("link", name="Size for reading aloud").click()
    expect(page.locator(".read-aloud .sites li").first).to_be_visible()
    expect(page.locator(".body-drawing svg").first).to_be_visible()


def record_again_for_mains(page: Page, site: Site) -> None:
    """The verdict, its evidence, and the second attempt that says what got better."""
    page.goto("/round")
    bring(site, take(site.desk, FAULTY, QUILL))
    expect(page.locator(".arrival .verdict-word")).to_contain_text("Record again")
    page.get_by_role("link", name="Look and decide").click()
    expect(page.locator(".verdict-place")).to_contain_text("V3 electrode")
    expect(page.locator(".finding-sentence").first).not_to_be_empty()
    expect(page.locator(".excerpt img").first).to_have_js_property("complete", value=True)
    page.locator("summary", has_text="Record again…").click()
    page.get_by_role("button", name="Record again", exact=True).click()
    expect(page.locator("#newer")).to_contain_text("Waiting for attempt 2")
    bring(site, take(site.desk, replace(GOOD, seed=GOOD.seed + 500), QUILL))
    page.get_by_role("link", name="Open attempt 2").click()
    better = page.locator(".progress")
    expect(better.locator("dt", has_text="Gone")).to_have_count(1)
    expect(better).to_contain_text("Mains interference: V3 electrode")
    expect(better).to_contain_text(re.compile(r"\d+ µV before, \d+ µV now"))
    expect(better.locator("img")).to_have_js_property("complete", value=True)


def tell_now(page: Page) -> None:
    """One value of each attempt: nobody needs the first, the second is read back."""
    attempt = page.url
    open_items = page.locator("#to-tell p")
    expect(open_items).to_have_count(2)
    open_items.first.get_by_role("link", name="Who was told?").click()
    page.locator("summary", has_text="Nobody needs to be told…").click()
    page.get_by_label("Why not").fill("the recording was disturbed")
    page.get_by_role("button", name="Close with this reason").click()
    expect(open_items).to_have_count(1)
    close_what_is_to_be_told(page)
    page.wait_for_url(attempt)
    expect(page.locator(".who")).to_contain_text("Dr Imre Solano was told at")


def write_how_it_was_taken(page: Page) -> None:
    part = page.locator(".circumstances")
    part.locator("summary", has_text="Placement, position, symptoms…").click()
    part.get_by_label("Position").select_option("sitting")
    part.get_by_label("Symptoms at that time").fill("palpitations")
    part.get_by_label("Remark").fill("left arm held by hand")
    part.get_by_role("button", name="Write down").click()
    for words in ("sitting", "palpitations", "left arm held by hand", ROBIN):
        expect(part).to_contain_text(words)


def print_a_strip(page: Page, folder: Path) -> None:
    page.get_by_role("link", name="Strip", exact=True).click()
    page.get_by_label("Lead", exact=True).select_option("V1")
    page.get_by_label("From second").fill("2")
    page.get_by_label("Seconds, of").fill("5")
    page.get_by_role("button", name="Show").click()
    expect(page.get_by_label("Lead", exact=True)).to_have_value("V1")
    expect(page.locator(".facts-list")).to_contain_text("/min")
    words = read_pdf(page, page.locator("#pdf"), folder)
    assert "V1" in words
    assert "Quill" in words
    page.get_by_role("link", name="Back to the recording").click()


def keep(page: Page) -> None:
    expect(page.locator(".verdict-word")).to_contain_text("Keep")
    page.get_by_role("button", name="Keep", exact=True).click()
    page.wait_for_url("**/round")
    expect(row_of(page, QUILL).locator(".state")).to_have_text("Kept")


def compare_with_the_earlier_visit(page: Page, folder: Path) -> None:
    row_of(page, QUILL).locator("a").click()
    page.get_by_role("link", name="All recordings of this person").click()
    expect(page.locator(".visits tbody tr")).to_have_count(4)
    for image in page.locator(".trends img, #beats ~ div img").all():
        image.scroll_into_view_if_needed()
        expect(image).to_have_js_property("complete", value=True)
        assert image.evaluate("(e) => e.naturalWidth") > 100
    page.locator("input[name=other]").nth(2).check()
    page.get_by_role("button", name="Compare these two").click()
    expect(page.locator(".comparison")).to_contain_text("Compared with")
    expect(page.locator(".comparison .measures").first).to_contain_text("QRS")
    assert "Quill" in read_pdf(page, page.get_by_role("link", name="Comparison as PDF"), folder)
    page.go_back()
    page.locator(".visits a").first.click()


def hand_over(page: Page) -> None:
    """An open format that says whose it is and how it was taken."""
    with page.expect_download() as taken:
        page.get_by_role("link", name="DICOM file").click()
    content = pydicom.dcmread(BytesIO(taken.value.path().read_bytes()))
    assert content.PatientID == QUILL.identifier
    assert str(content.PatientName) == "Quill^Ada"
    assert "left arm held by hand" in str(content)


def file_under_its_person(page: Page, site: Site) -> None:
    """A recording without a patient number, and a file that is none, are seen to."""
    add_by_hand(page, FINCH)
    letter = FilePayload(name="letter.txt", mimeType="text/plain", buffer=b"dear colleague")
    page.request.post("/upload", multipart={"files": letter})
    bring(site, take(site.desk, get_scenario("good-fast-rate"), replace(FINCH, identifier="")))
    stray = page.locator(".row-unmatched")
    expect(stray).to_have_count(1)
    choice = stray.locator("option", has_text="Finch").get_attribute("value")
    stray.get_by_label("File under").select_option(choice)
    stray.get_by_role("button", name="File").click()
    page.wait_for_url("**/recordings/*")
    expect(page.locator("h1")).to_contain_text(FINCH.family_name)
    page.goto("/round")
    expect(stray).to_have_count(0)
    page.locator(".row-problem").get_by_role("button", name="Seen to").click()
    expect(page.locator(".row-problem")).to_have_count(0)


def print_the_round(page: Page, folder: Path) -> None:
    page.get_by_role("link", name="Print…").click()
    expect(page.get_by_role("checkbox", checked=True)).to_have_count(1)
    query = page.evaluate(
        "() => String(new URLSearchParams(new FormData(document.querySelector('main form'))))"
    )
    words = read_address(page, f"/print.pdf?{query}", folder)
    for wanted in ("Quill", "sitting", "left arm held by hand", "Dr Imre Solano"):
        assert wanted in words
    page.reload()
    expect(page.locator(".row-print", has_text="Quill")).to_contain_text("printed at")


def end_the_round(page: Page) -> None:
    """Nothing is left without an answer: not a person, a value to tell, or a fault of today."""
    page.goto("/recorders/1")
    page.get_by_text("Log a fault…").click()
    page.get_by_label("What is wrong").fill("the clip of V3 is cracked")
    page.get_by_role("button", name="Log the fault").click()
    page.goto("/round")
    page.get_by_role("link", name="End of the round").click()
    rows = page.locator(".row-open")
    expect(rows).to_have_count(3)
    expect(rows.filter(has_text="Cart C")).to_contain_text("the clip of V3 is cracked")
    rows.filter(has_text="Cart C").get_by_role("link").click()
    page.get_by_label("What was done").fill("another clip")
    page.get_by_role("button", name="Close the fault").click()
    expect(page.get_by_text("No fault is open.")).to_be_visible()
    close_what_is_to_be_told(page)
    page.goto("/round")
    row_of(page, FINCH).locator("a").click()
    page.get_by_role("button", name="Keep", exact=True).click()
    page.wait_for_url("**/round")
    page.get_by_role("link", name="End of the round").click()
    expect(page.locator("main")).to_contain_text("Everything has an answer.")
    page.get_by_role("button", name="Close the round").click()
    expect(page.locator(".decided")).to_contain_text(ROBIN)


def close_what_is_to_be_told(page: Page) -> None:
    page.locator("#to-tell").get_by_role("link", name="Who was told?").click()
    page.get_by_label("Who was told").fill("Dr Imre Solano")
    page.get_by_label("Yes, read back and right").check()
    page.get_by_role("button", name="Told", exact=True).click()
    expect(page.locator("#to-tell p")).to_have_count(0)


def bring(site: Site, recording: Recording) -> None:
    """A recorder of the department puts its file into the watched folder."""
    named = Device(manufacturer="Simulated", model="Simulated recorder", serial_number="SIM-0003")
    name = f"{recording.start:%H%M%S%f}.dcm"
    (site.inbox / name).write_bytes(write_dicom(replace(recording, device=named)))


def take(desk: Desk, scenario: Scenario, patient: Patient) -> Recording:
    start = desk.now() - timedelta(seconds=scenario.duration_s + 2)
    return replace(simulate(scenario).recording, patient=patient, start=start)


def row_of(page: Page, patient: Patient) -> Locator:
    return page.locator(".row-person", has_text=patient.family_name)


def reload_until(page: Page, wanted: Locator) -> None:
    """A recorder's page does not renew itself."""
    for _ in range(40):
        if wanted.count():
            return
        page.reload()
    expect(wanted).to_be_visible()


def read_pdf(page: Page, link: Locator, folder: Path) -> str:
    return read_address(page, link.get_attribute("href") or "", folder)


def read_address(page: Page, address: str, folder: Path) -> str:
    answer = page.request.get(address)
    assert answer.ok
    (folder / "printed.pdf").write_bytes(answer.body())
    done = subprocess.run(
        ["pdftotext", "-layout", folder / "printed.pdf", "-"],
        capture_output=True,
        check=True,
        text=True,
    )
    return re.sub(r"\s+", " ", done.stdout)
