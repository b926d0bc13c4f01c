"""Recorders: registered, checked, faulty, and what arrivals say of them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest
from tests.unit.quality.test_calibration_pulse import make_pulse

from couchside.errors import Conflict, InvalidInput, NotFound
from couchside.formats import ArrivedFile, Parcel, write_dicom
from couchside.recording import Device
from couchside.service.checklists import (
    CHECKLIST_FILE,
    choose_checklist,
    get_example_checklist,
)
from couchside.service.clocks import ClockState
from couchside.service.desk import Desk
from couchside.service.faults import (
    NewFault,
    NewFaultEntry,
    add_fault_entry,
    insert_fault,
    open_fault,
)
from couchside.service.readiness import ReadinessState, list_readiness, open_history
from couchside.service.readiness_checks import (
    Answer,
    ElectrodeLot,
    ItemAnswer,
    NewCheck,
    parse_expiry,
    write_check,
)
from couchside.service.receiving import receive
from couchside.service.recorders import (
    RecorderEntry,
    RecorderFacts,
    change_recorder,
    register_recorder,
    retire_recorder,
    suggest_recorders,
)
from couchside.store.words import PartOfDay, Source

CART = RecorderFacts(name="Cart 1", place="Ward 3", serial_number="S-1", station_name="Cart 1")
Deeds = Callable[[], list[tuple[str, str, str]]]


@pytest.fixture
def cart(desk: Desk) -> RecorderEntry:
    return register_recorder(desk, CART)


def answer_all(desk: Desk, part: PartOfDay = PartOfDay.START, **other: ItemAnswer) -> NewCheck:
    items = choose_checklist(desk.data_folder).list_items(part)
    answers = {item.name: ItemAnswer(answer=Answer.DONE) for item in items}
    return NewCheck(part=part, day=desk.today(), seen_number=0, answers=answers | other)


def bring_pulse(
    desk: Desk, *, start: datetime, height_uv: float = 1000.0, serial_number: str = "S-1"
) -> None:
    recording = replace(
        make_pulse(height_uv=height_uv),
        start=start,
        device=Device(serial_number=serial_number, station_name="Cart 1"),
    )
    content = write_dicom(recording)
    receive(desk, Parcel(files=(ArrivedFile(name="p.dcm", content=content),)), source=Source.UPLOAD)


def test_a_recorder_is_known_by_its_own_name_serial_and_station(
    desk: Desk, cart: RecorderEntry
) -> None:
    for wrong, complaint in (
        (replace(CART, name=" "), "the name is empty"),
        (CART, "there is a recorder Cart 1 already"),
        (replace(CART, name="Cart 2"), "Cart 1 has the serial number S-1 already"),
        (replace(CART, name="Cart 2", serial_number=""), "Cart 1 has the station name Cart 1"),
    ):
        with pytest.raises(InvalidInput, match=complaint):
            register_recorder(desk, wrong)
    other = replace(CART, name="Cart 2", serial_number="S-2")
    assert register_recorder(desk, other).facts == other, "the serial number tells them apart"


def test_nobody_changes_a_recorder_over_another(
    desk: Desk, cart: RecorderEntry, deeds: Deeds
) -> None:
    moved = replace(CART, place="Day surgery")
    assert change_recorder(desk, cart.id, moved, seen_number=1).number == 2
    with pytest.raises(Conflict, match="somebody changed this recorder meanwhile"):
        change_recorder(desk, cart.id, moved, seen_number=1)
    with pytest.raises(InvalidInput, match="the reason is empty"):
        retire_recorder(desk, cart.id, because=" ", seen_number=2)
    assert retire_recorder(desk, cart.id, because="replaced", seen_number=2).retired_at
    assert list_readiness(desk) == ()
    with pytest.raises(Conflict, match="Cart 1 is retired"):
        write_check(desk, cart.id, answer_all(desk))
    assert [what for _, what, kind in deeds() if kind == "recorder"] == [
        "registered", "changed recorder", "retired",
    ]  # fmt: skip


def test_files_suggest_recorders_that_are_not_registered(desk: Desk) -> None:
    bring_pulse(desk, start=desk.now())
    suggested = suggest_recorders(desk)
    assert [(each.facts.serial_number, each.count) for each in suggested] == [("S-1", 1)]
    register_recorder(desk, suggested[0].facts)
    assert suggest_recorders(desk) == ()


def test_a_check_answers_each_item_and_stands_in_versions(
    desk: Desk, cart: RecorderEntry, deeds: Deeds
) -> None:
    assert list_readiness(desk)[0].state is ReadinessState.NOT_CHECKED
    new = answer_all(desk, paper=ItemAnswer(answer=Answer.NOT_POSSIBLE, words="it has no printer"))
    first = write_check(desk, cart.id, new)
    assert (first.number, first.who) == (1, "Robin")
    assert first.answers["paper"].words == "it has no printer"
    assert list_readiness(desk)[0].state is ReadinessState.CHECKED
    with pytest.raises(Conflict, match="Robin checked this recorder meanwhile"):
        write_check(desk, cart.id, new)
    write_check(desk, cart.id, replace(new, seen_number=1))
    history = open_history(desk, cart.id)
    assert [each.number for each in history.checks] == [2, 1]
    assert deeds()[-1] == ("Robin", "checked readiness", "recorder")


def test_a_check_that_says_too_little_or_too_late_is_refused(
    desk: Desk, cart: RecorderEntry
) -> None:
    whole = answer_all(desk)
    fault, skipped = ItemAnswer(answer=Answer.FAULT), ItemAnswer(answer=Answer.NOT_POSSIBLE)
    lot = ElectrodeLot(lot=" ", expires_on=date(2027, 1, 1))
    for new, complaint in (
        (replace(whole, answers={}), "has no answer; answer each item"),
        (answer_all(desk, battery=fault), "a fault was found; write which"),
        (answer_all(desk, battery=skipped), "was not possible; write why"),
        (answer_all(desk, moon=fault), "the checklist has no item 'moon' any more"),
        (replace(whole, lots=(lot,)), "a date of expiry has no lot"),
    ):
        with pytest.raises(InvalidInput, match=complaint):
            write_check(desk, cart.id, new)
    with pytest.raises(Conflict, match="another day has begun"):
        write_check(desk, cart.id, replace(whole, day=whole.day - timedelta(days=1)))
    with pytest.raises(NotFound):
        write_check(desk, 99, whole)


def test_a_fault_found_is_logged_once_and_closed_by_a_person(
    desk: Desk, cart: RecorderEntry
) -> None:
    found = answer_all(desk, cables=ItemAnswer(answer=Answer.FAULT, words="V3 clip is cracked"))
    write_check(desk, cart.id, replace(found, is_out_of_use=True))
    write_check(desk, cart.id, replace(found, seen_number=1))
    readiness = list_readiness(desk)[0]
    assert readiness.state is ReadinessState.OUT_OF_USE
    (fault,) = readiness.faults
    assert (fault.item, fault.words, fault.entries) == ("cables", "V3 clip is cracked", ())
    back = NewFaultEntry(words="new clip", is_out_of_use=False, closes=False, seen_number=0)
    add_fault_entry(desk, fault.id, back)
    assert list_readiness(desk)[0].state is ReadinessState.FAULT
    with pytest.raises(Conflict, match="Robin added to this fault meanwhile"):
        add_fault_entry(desk, fault.id, back)
    done = add_fault_entry(desk, fault.id, replace(back, closes=True, seen_number=1))
    assert (done.is_open, done.closed_by, len(done.entries)) == (False, "Robin", 2)
    assert list_readiness(desk)[0].state is ReadinessState.CHECKED
    with pytest.raises(Conflict, match="Robin has closed this fault already"):
        add_fault_entry(desk, fault.id, replace(back, seen_number=2))
    with pytest.raises(InvalidInput, match="what is wrong is not said"):
        open_fault(desk, cart.id, NewFault(words=" "))


def test_electrodes_out_of_date_are_told(desk: Desk, cart: RecorderEntry) -> None:
    today = desk.today()
    lots = tuple(
        ElectrodeLot(lot=f"L{days}", expires_on=today + timedelta(days=days))
        for days in (-1, 0, 14, 15)
    )
    write_check(desk, cart.id, replace(answer_all(desk), lots=lots))
    write_check(desk, cart.id, answer_all(desk, PartOfDay.END))
    readiness = list_readiness(desk)[0]
    assert [each.lot for each in readiness.expired] == ["L-1"]
    assert [each.lot for each in readiness.expiring] == ["L0", "L14"]
    assert readiness.end is not None


def test_another_checklist_counts_at_once(desk: Desk, cart: RecorderEntry) -> None:
    lots = (ElectrodeLot(lot="L1", expires_on=desk.today()),)
    write_check(desk, cart.id, replace(answer_all(desk), lots=lots))
    assert len(list_readiness(desk)[0].expiring) == 1
    own = get_example_checklist().replace('name = "electrodes"', 'name = "pads"')
    (desk.data_folder / CHECKLIST_FILE).write_text(own, encoding="utf-8")
    assert list_readiness(desk)[0].lots == (), "nobody has looked at these by today's list"


def test_a_date_is_read_as_it_is_printed() -> None:
    assert parse_expiry("2028-02") == date(2028, 2, 29)
    assert parse_expiry(" 2027/03/31 ") == date(2027, 3, 31)
    for wrong in ("", "March", "2027-13", "2027-02-30", "31.03.2027", "0000-01"):
        with pytest.raises(InvalidInput, match="is no date of expiry"):
            parse_expiry(wrong)


def test_its_own_pulse_and_its_clock_are_read_from_arrivals(
    desk: Desk, cart: RecorderEntry
) -> None:
    slow = timedelta(minutes=7)
    for height_uv in (1000.0, 1001.0, 1002.0):
        bring_pulse(desk, start=desk.now() - slow, height_uv=height_uv)
    readiness = list_readiness(desk)[0]
    assert readiness.pulse is not None
    assert readiness.pulse.pulse.has_passed
    assert readiness.clock.state is ClockState.BEHIND
    assert readiness.clock.offset_s == pytest.approx(slow.total_seconds(), abs=5.0)
    bring_pulse(desk, start=desk.now() - slow, height_uv=900.0)
    assert list_readiness(desk)[0].state is ReadinessState.PULSE
    assert len(open_history(desk, cart.id).pulses) == 4
    clock = NewFault(words="7 min behind", item="clock")
    with desk.store.writing() as session:
        fault_id = insert_fault(session, desk, cart.id, clock).id
    done = NewFaultEntry(words="set", is_out_of_use=False, closes=True, seen_number=0)
    add_fault_entry(desk, fault_id, done)
    assert list_readiness(desk)[0].clock.state is ClockState.TOO_FEW, "what was before is past"
