"""Signing in and out, the lock, and the way back."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy.orm import Session

from couchside.errors import InvalidInput, NotAllowed
from couchside.service.accounts import Account, as_account, end_sign_ins
from couchside.service.desk import Desk
from couchside.service.passwords import (
    check_password,
    check_pin,
    digest_of,
    hash_secret,
    is_right,
    make_token,
)
from couchside.service.sign_in_limits import WINDOW, Try, find_next_allowed
from couchside.service.trail import Deed, Subject, write_trail
from couchside.store.queries.accounts import (
    find_account,
    find_sign_in,
    forget_old_tries,
    forget_tries,
    get_account,
    list_tries,
)
from couchside.store.tables import AccountRow, FailedTryRow, SignInRow

LONGEST_SIGN_IN = timedelta(hours=12)
"""A shift; afterwards the password is asked for again."""

JUST_SIGNED_IN = timedelta(minutes=10)
"""So long after a sign-in elsewhere a PIN may be set without a password, which there is none of."""

MOST_FAILED_UNLOCKS = 3
_SEEN_EVERY = timedelta(seconds=30)
_REFUSED = "the name or the password is not right; try again, or ask an administrator for a link"


class TooManyTries(NotAllowed):
    """Somebody must wait before the next try."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SignedIn:
    """Somebody signed in at one browser, which is locked after so long without a hand on it."""

    id: int
    account: Account
    is_locked: bool
    began_at: datetime
    last_seen_at: datetime
    lock_after: timedelta


def sign_in(desk: Desk, sign_in_name: str, password: str) -> str:
    """Sign somebody in and give the token for their browser.

    Each try is counted before the password is looked at. Raises TooManyTries, and NotAllowed with
    the same sentence whether the name or the password is wrong.
    """
    name = sign_in_name.strip().casefold()[:64]
    kept_hash = _count_try(desk, name)
    is_known = is_right(password, kept_hash)
    with desk.store.writing() as session:
        account = find_account(session, name)
        if account is not None and is_known and account.password_hash == kept_hash:
            forget_tries(session, sign_in_name=name, address=desk.address)
            return begin_sign_in(session, desk, account)
        _write(session, desk, Deed.SIGN_IN_REFUSED, name)
    raise NotAllowed(_REFUSED)


def begin_sign_in(session: Session, desk: Desk, account: AccountRow) -> str:
    """Make a sign-in for somebody who has shown who they are; gives the token."""
    token = make_token()
    session.add(
        SignInRow(
            token_sha256=digest_of(token),
            account=account,
            address=desk.address,
            began_at=desk.now(),
            last_seen_at=desk.now(),
            locked_at=None,
            ended_at=None,
            failed_unlocks=0,
        )
    )
    _write(session, _with(desk, account), Deed.SIGNED_IN, account.sign_in_name)
    return token


def find_signed_in(desk: Desk, token: str, *, lock_after: timedelta) -> SignedIn | None:
    """Who is signed in with that token; None where nobody is, or no more."""
    with desk.store.reading() as session:
        row = find_sign_in(session, digest_of(token))
        if row is None or not _stands(desk, row):
            return None
        is_idle = desk.now() - row.last_seen_at > lock_after
        return SignedIn(
            id=row.id,
            account=as_account(row.account),
            is_locked=is_idle or row.locked_at is not None,
            began_at=row.began_at,
            last_seen_at=row.last_seen_at,
            lock_after=lock_after,
        )


def is_awake_anew(desk: Desk, signed_in: SignedIn) -> bool:
    """Whether it is to be written down again that somebody is at work there."""
    return not signed_in.is_locked and desk.now() - signed_in.last_seen_at >= _SEEN_EVERY


def note_awake(desk: Desk, token: str, signed_in: SignedIn) -> None:
    """Somebody is at work there; written down now and then, and never of one who is locked."""
    if not is_awake_anew(desk, signed_in):
        return
    with desk.store.writing() as session:
        row = find_sign_in(session, digest_of(token))
        if row is not None and row.locked_at is None:
            row.last_seen_at = desk.now()


def lock(desk: Desk, token: str) -> None:
    """Hide everything until the person is back."""
    with desk.store.writing() as session:
        row = find_sign_in(session, digest_of(token))
        if row is not None and row.locked_at is None:
            row.locked_at = desk.now()


def unlock(desk: Desk, token: str, secret: str) -> None:
    """Let the same person go on, by PIN or password.

    Raises NotAllowed where it is not right; after `MOST_FAILED_UNLOCKS` the sign-in has ended.
    """
    with desk.store.reading() as session:
        row = find_sign_in(session, digest_of(token))
        if row is None or not _stands(desk, row):
            raise NotAllowed("the sign-in has ended; sign in again")
        hashes = (row.account.pin_hash, row.account.password_hash)
    is_theirs = _is_one_of(secret, hashes)
    with desk.store.writing() as session:
        row = find_sign_in(session, digest_of(token))
        if row is None or not _stands(desk, row):
            raise NotAllowed("the sign-in has ended; sign in again")
        if is_theirs:
            row.locked_at, row.failed_unlocks, row.last_seen_at = None, 0, desk.now()
            return
        row.failed_unlocks += 1
        has_ended = row.failed_unlocks >= MOST_FAILED_UNLOCKS
        row.ended_at = desk.now() if has_ended else None
        _write(session, desk, Deed.UNLOCK_REFUSED, row.account.sign_in_name)
    if has_ended:
        raise NotAllowed("that was wrong three times; sign in again with the password")
    raise NotAllowed("that is not right; try again")


def sign_out(desk: Desk, token: str) -> None:
    """End a sign-in."""
    with desk.store.writing() as session:
        row = find_sign_in(session, digest_of(token))
        if row is not None and row.ended_at is None:
            row.ended_at = desk.now()
            _write(session, desk, Deed.SIGNED_OUT, row.account.sign_in_name)


def change_password(desk: Desk, signed_in: SignedIn, *, old: str, new: str) -> None:
    """Put a new password in place of the old one, and sign the person out everywhere else.

    Raises NotAllowed where the old one is wrong, InvalidInput where the new one will not do.
    """
    _check_old(desk, signed_in, old)
    account = signed_in.account
    check_password(new, sign_in_name=account.sign_in_name, name=account.name)
    new_hash = hash_secret(new)
    with desk.store.writing() as session:
        get_account(session, account.id).password_hash = new_hash
        end_sign_ins(session, desk, account.id, but=signed_in.id)
        _write(session, desk, Deed.PASSWORD_CHANGED, account.sign_in_name)


def change_pin(desk: Desk, signed_in: SignedIn, *, password: str, pin: str) -> None:
    """Set the PIN that unlocks, or take it away where it is empty; raises as change_password."""
    if signed_in.account.is_known_elsewhere and not signed_in.account.has_password:
        _check_just_signed_in(desk, signed_in)
    else:
        _check_old(desk, signed_in, password)
    if pin:
        check_pin(pin)
    pin_hash = hash_secret(pin) if pin else ""
    with desk.store.writing() as session:
        get_account(session, signed_in.account.id).pin_hash = pin_hash
        _write(session, desk, Deed.PIN_CHANGED, signed_in.account.sign_in_name)


def _check_just_signed_in(desk: Desk, signed_in: SignedIn) -> None:
    if desk.now() - signed_in.began_at > JUST_SIGNED_IN:
        raise NotAllowed(
            "the sign-in was a while ago; sign out and in again, and set the PIN within ten minutes"
        )


def _check_old(desk: Desk, signed_in: SignedIn, password: str) -> None:
    with desk.store.reading() as session:
        kept_hash = get_account(session, signed_in.account.id).password_hash
    if not kept_hash:
        raise InvalidInput(
            "this account has no password here; ask an administrator for a one-time link to set one"
        )
    name = signed_in.account.sign_in_name
    _count_try(desk, name)
    if not is_right(password, kept_hash):
        raise NotAllowed("the password is not right; nothing was changed")
    with desk.store.writing() as session:
        forget_tries(session, sign_in_name=name, address=desk.address)


def _count_try(desk: Desk, sign_in_name: str) -> str:
    """Count a try and give the hash that is kept; raises TooManyTries."""
    now = desk.now()
    with desk.store.writing() as session:
        forget_old_tries(session, now - WINDOW)
        rows = list_tries(
            session, sign_in_name=sign_in_name, address=desk.address, since=now - WINDOW
        )
        tries = [Try(sign_in_name=r.sign_in_name, address=r.address, at=r.at) for r in rows]
        until = find_next_allowed(tries, sign_in_name=sign_in_name, address=desk.address, now=now)
        if until is not None:
            minutes = max(1, round((until - now).total_seconds() / 60))
            raise TooManyTries(f"there were too many tries; wait {minutes} min and try again")
        session.add(FailedTryRow(sign_in_name=sign_in_name, address=desk.address, at=now))
        account = find_account(session, sign_in_name)
        return account.password_hash if account is not None and account.is_active else ""


def _is_one_of(secret: str, hashes: tuple[str, ...]) -> bool:
    set_hashes = [each for each in hashes if each]
    return any(is_right(secret, each) for each in set_hashes or [""])


def _stands(desk: Desk, row: SignInRow) -> bool:
    is_young = desk.now() - row.began_at < LONGEST_SIGN_IN
    return row.ended_at is None and is_young and row.account.is_active


def _with(desk: Desk, account: AccountRow) -> Desk:
    return desk.with_person(account.name, account=account.sign_in_name, address=desk.address)


def _write(session: Session, desk: Desk, deed: Deed, sign_in_name: str) -> None:
    write_trail(session, desk, deed, subject=Subject.ACCOUNT, subject_id=sign_in_name)
