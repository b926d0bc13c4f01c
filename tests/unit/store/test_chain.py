"""Whoever changes, removes or adds an entry breaks the chain, and the first such entry is named."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone

import pytest

from couchside.store.chain import BEGINNING, Link, find_break, hash_link

MOMENT = datetime(2026, 3, 2, 9, 30, tzinfo=UTC)


def make_chain(length: int) -> list[Link]:
    chain: list[Link] = []
    for number in range(1, length + 1):
        link = Link(
            number=number,
            at=MOMENT + timedelta(seconds=number),
            who="Ada Quill",
            account="ada",
            address="127.0.0.1",
            what="viewed",
            subject_kind="recording",
            subject_id=str(number),
            detail={"b": [1, "ü"], "a": None},
            previous_sha256=chain[-1].sha256 if chain else BEGINNING,
        )
        chain.append(replace(link, sha256=hash_link(link)))
    return chain


def test_a_digest_is_of_the_canonical_json() -> None:
    (link,) = make_chain(1)
    canonical = (
        '{"account":"ada","address":"127.0.0.1","at":"2026-03-02T09:30:01.000000+00:00",'
        '"detail":{"a":null,"b":[1,"ü"]},"previous":"' + "0" * 64 + '","subject_id":"1",'
        '"subject_kind":"recording","what":"viewed","who":"Ada Quill"}'
    )
    assert link.sha256 == hashlib.sha256(canonical.encode()).hexdigest()


def test_the_same_moment_in_another_zone_is_the_same_entry() -> None:
    (link,) = make_chain(1)
    elsewhere = link.at.astimezone(timezone(timedelta(hours=5)))
    assert hash_link(replace(link, at=elsewhere)) == link.sha256


def test_an_untouched_chain_holds() -> None:
    assert find_break([]) is None
    assert find_break(make_chain(5)) is None


@pytest.mark.parametrize(
    "change",
    [
        {"who": "Eve"}, {"account": "eve"}, {"address": ""}, {"what": "decided"},
        {"subject_kind": "order"}, {"subject_id": "9"}, {"detail": {}},
        {"at": MOMENT}, {"sha256": "f" * 64},
    ],
)  # fmt: skip
def test_a_changed_entry_is_named(change: dict[str, object]) -> None:
    chain = make_chain(5)
    chain[2] = replace(chain[2], **change)  # type: ignore[arg-type]
    found = find_break(chain)
    assert found is not None
    assert found.number == 3
    assert "was changed" in found.sentence


def test_an_entry_changed_with_its_digest_breaks_the_next() -> None:
    chain = make_chain(5)
    forged = replace(chain[2], who="Eve")
    chain[2] = replace(forged, sha256=hash_link(forged))
    found = find_break(chain)
    assert found is not None
    assert found.number == 4


@pytest.mark.parametrize(("gone", "named"), [(0, 2), (2, 4)])
def test_where_one_is_missing_the_next_is_named(gone: int, named: int) -> None:
    chain = make_chain(5)
    del chain[gone]
    found = find_break(chain)
    assert found is not None
    assert found.number == named


def test_two_exchanged_are_noticed() -> None:
    chain = make_chain(5)
    chain[1], chain[2] = chain[2], chain[1]
    found = find_break(chain)
    assert found is not None
    assert found.number == 3
