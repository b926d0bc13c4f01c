"""In the demo everybody is invented, and a visitor may be any of them."""

from __future__ import annotations

from couchside.service.accounts import Account, NewAccount, add_account, list_people
from couchside.service.demo import RECORDER
from couchside.service.desk import Desk
from couchside.service.signing_in import begin_sign_in
from couchside.store.queries.accounts import get_account
from couchside.store.words import Role

CAST = (
    NewAccount(sign_in_name="robin", name=RECORDER, role=Role.RECORDER),
    NewAccount(sign_in_name="tamsin", name="Tamsin Vale", role=Role.READER),
    NewAccount(sign_in_name="odile", name="Odile Brandt", role=Role.LEAD),
    NewAccount(sign_in_name="percy", name="Percy Lindqvist", role=Role.ADMINISTRATOR),
)
"""The invented clinic's people."""


def prepare_cast(desk: Desk) -> tuple[Account, ...]:
    """Give the invented people accounts, where they have none yet."""
    known = {each.sign_in_name for each in list_people(desk)}
    return tuple(add_account(desk, each) for each in CAST if each.sign_in_name not in known)


def play(desk: Desk, account_id: int) -> str:
    """Sign a visitor of the demo in as one of its people, without a password; gives the token."""
    with desk.store.writing() as session:
        return begin_sign_in(session, desk, get_account(session, account_id))
