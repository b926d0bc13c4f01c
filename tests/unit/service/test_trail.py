from __future__ import annotations

import threading

import pytest
from sqlalchemy import text

from couchside.paper.sizes import PaperSize
from couchside.recording import ColourCode
from couchside.service.desk import Desk
from couchside.service.settings import Settings, change_settings
from couchside.service.trail import Deed, Subject, check_trail, list_trail, write_trail
from couchside.service.viewing import Looks


def write(desk: Desk, subject_id: int) -> None:
    with desk.store.writing() as session:
        write_trail(session, desk, Deed.VIEWED, subject=Subject.ORDER, subject_id=subject_id)


def test_many_writers_make_one_chain(desk: Desk) -> None:
    def work(number: int) -> None:
        for _ in range(5):
            write(desk.with_person(f"Person {number}", account=f"p{number}"), number)

    threads = [threading.Thread(target=work, args=(number,)) for number in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    check = check_trail(desk)
    assert (check.count, check.broken) == (20, None)
    assert {entry.account for entry in list_trail(desk, count=50)} == {"p0", "p1", "p2", "p3"}


@pytest.mark.parametrize(
    ("statement", "named"),
    [
        ("UPDATE audit_entries SET who = 'Eve' WHERE id = 2", 2),
        ("UPDATE audit_entries SET detail = '{\"a\": 1}' WHERE id = 3", 3),
        ("DELETE FROM audit_entries WHERE id = 2", 3),
    ],
)
def test_whoever_writes_past_couchside_is_found_out(desk: Desk, statement: str, named: int) -> None:
    for number in range(4):
        write(desk, number)
    assert check_trail(desk).broken is None
    with desk.store.writing() as session:
        session.execute(text(statement))
    broken = check_trail(desk).broken
    assert broken is not None
    assert broken.number == named


def test_entries_cut_off_at_the_end_are_seen_by_a_digest_noted_before(desk: Desk) -> None:
    for number in range(4):
        write(desk, number)
    noted = check_trail(desk).end_sha256
    write(desk, 9)
    assert check_trail(desk, noted_sha256=noted).holds_noted is True
    with desk.store.writing() as session:
        session.execute(text("DELETE FROM audit_entries WHERE id >= 4"))
    check = check_trail(desk, noted_sha256=noted)
    assert (check.broken, check.holds_noted) == (None, False)


def test_several_deeds_in_one_transaction_follow_one_another(desk: Desk) -> None:
    change_settings(desk, Settings(colour_code=ColourCode.AHA, paper_size=PaperSize.LETTER))
    check = check_trail(desk)
    assert (check.count, check.broken) == (2, None)


def test_one_look_is_one_entry_until_some_time_has_passed(desk: Desk) -> None:
    looks = Looks()
    ada = desk.with_person("Ada", account="ada", address="10.0.0.7")
    for person in (ada, ada, desk):
        looks.note(person, Subject.RECORDING, 1)
    looks.note(ada, Subject.RECORDING, 2)
    seen = [(e.account, e.address, e.subject_id) for e in list_trail(desk, count=9)]
    assert seen == [("ada", "10.0.0.7", "1"), ("", "", "1"), ("ada", "10.0.0.7", "2")]
    for _ in range(301):
        desk.clock()  # a second each
    looks.note(ada, Subject.RECORDING, 1, is_renewal=True)
    assert len(list_trail(desk, count=9)) == 3
    looks.note(ada, Subject.RECORDING, 1)
    assert len(list_trail(desk, count=9)) == 4
