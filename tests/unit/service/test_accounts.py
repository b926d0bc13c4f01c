from __future__ import annotations

import threading
from datetime import timedelta

import pytest

from couchside.errors import InvalidInput, NotAllowed
from couchside.service.accounts import (
    RIGHTS,
    Account,
    NewAccount,
    Right,
    add_account,
    change_account,
    list_people,
)
from couchside.service.desk import Desk
from couchside.service.inviting import accept, accept_first, invite, invite_first
from couchside.service.signing_in import (
    TooManyTries,
    find_signed_in,
    lock,
    sign_in,
    sign_out,
    unlock,
)
from couchside.service.trail import check_trail, list_trail
from couchside.store.queries.accounts import find_sign_in
from couchside.store.words import Role

PASSWORD = "three quiet herons"
HOUR = timedelta(hours=1)


@pytest.fixture
def ada(desk: Desk) -> Account:
    """A lead with a password."""
    account = add_account(desk, NewAccount(sign_in_name="Ada", name=" Ada  Quill ", role=Role.LEAD))
    accept(desk, invite(desk, account.id), password=PASSWORD)
    return account


def test_names_are_put_in_order_and_are_nobody_elses(desk: Desk, ada: Account) -> None:
    assert (ada.sign_in_name, ada.name) == ("ada", "Ada Quill")
    for new in (
        NewAccount(sign_in_name="ADA", name="Another", role=Role.READER),
        NewAccount(sign_in_name="other", name="Ada Quill", role=Role.READER),
    ):
        with pytest.raises(InvalidInput, match="already"):
            add_account(desk, new)


def test_every_role_has_rights_and_only_one_gives_accounts() -> None:
    assert set(RIGHTS) == set(Role)
    assert [role for role in Role if Right.ADMIT in RIGHTS[role]] == [Role.ADMINISTRATOR]
    assert all(Right.SEE in rights for rights in RIGHTS.values())


def test_neither_password_nor_token_is_kept(desk: Desk, ada: Account) -> None:
    token = sign_in(desk, "ada", PASSWORD)
    with desk.store.reading() as session:
        assert find_sign_in(session, token) is None
    said = repr(list_trail(desk, count=100))
    assert PASSWORD not in said
    assert token not in said
    assert "signed in" in said


def test_a_sign_in_holds_until_it_is_ended(desk: Desk, ada: Account) -> None:
    token = sign_in(desk, "ada", PASSWORD)
    found = find_signed_in(desk, token, lock_after=HOUR)
    assert found is not None
    assert (found.account.name, found.is_locked) == ("Ada Quill", False)
    assert find_signed_in(desk, "another token", lock_after=HOUR) is None
    sign_out(desk, token)
    assert find_signed_in(desk, token, lock_after=HOUR) is None


def test_closing_an_account_ends_its_sign_ins(desk: Desk, ada: Account) -> None:
    accept_administrator(desk)
    token = sign_in(desk, "ada", PASSWORD)
    change_account(desk, ada.id, role=Role.LEAD, is_active=False)
    assert find_signed_in(desk, token, lock_after=HOUR) is None
    with pytest.raises(NotAllowed):
        sign_in(desk, "ada", PASSWORD)
    with pytest.raises(NotAllowed, match="closed"):
        accept(desk, invite(desk, ada.id), password=PASSWORD)


def test_two_who_open_the_first_link_at_once_make_one_administrator(desk: Desk) -> None:
    code = invite_first(desk)
    assert code is not None
    refused: list[NotAllowed] = []

    def open_link(name: str) -> None:
        try:
            accept_first(desk, code, sign_in_name=name, name=name, password=PASSWORD)
        except NotAllowed as error:
            refused.append(error)

    threads = [threading.Thread(target=open_link, args=(name,)) for name in ("ann", "bob", "cid")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert (len(list_people(desk)), len(refused)) == (1, 2)


def test_a_link_expires(desk: Desk) -> None:
    code = invite_first(desk)
    assert code is not None
    for _ in range(3601):
        desk.clock()  # a second each
    with pytest.raises(NotAllowed, match="has expired"):
        accept_first(desk, code, sign_in_name="ann", name="Ann", password=PASSWORD)


def test_tries_at_once_do_not_slip_past_the_limit(desk: Desk, ada: Account) -> None:
    said: list[str] = []

    def guess() -> None:
        try:
            sign_in(desk, "ada", "not this one")
        except TooManyTries:
            said.append("wait")
        except NotAllowed:
            said.append("wrong")

    threads = [threading.Thread(target=guess) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(said) == ["wait"] * 3 + ["wrong"] * 5
    assert check_trail(desk).broken is None


def test_after_a_right_one_the_count_begins_anew(desk: Desk, ada: Account) -> None:
    for _ in range(3):
        for _ in range(4):
            with pytest.raises(NotAllowed, match="name or the password"):
                sign_in(desk, "ada", "not this one")
        sign_in(desk, "ada", PASSWORD)


def test_a_locked_sign_in_is_opened_by_its_own_person(desk: Desk, ada: Account) -> None:
    token = sign_in(desk, "ada", PASSWORD)
    lock(desk, token)
    locked = find_signed_in(desk, token, lock_after=HOUR)
    assert locked is not None
    assert locked.is_locked
    with pytest.raises(NotAllowed, match="not right"):
        unlock(desk, token, "not this one")
    unlock(desk, token, PASSWORD)
    opened = find_signed_in(desk, token, lock_after=HOUR)
    assert opened is not None
    assert not opened.is_locked


def accept_administrator(desk: Desk) -> None:
    add_account(desk, NewAccount(sign_in_name="root", name="Root", role=Role.ADMINISTRATOR))
