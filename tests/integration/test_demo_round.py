"""The demo comes by the way of real recordings: simulated, written as DICOM, received."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import timedelta

import pytest

from couchside.quality.model import Verdict
from couchside.service import (
    Desk,
    Outcome,
    Received,
    Round,
    Source,
    State,
    list_round,
    open_desk,
    open_recording,
    prepare_demo,
)
from couchside.service.demo import RECORDER


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    opened = open_desk(tmp_path_factory.mktemp("demo"), who="demo")
    yield opened
    opened.close()


@pytest.fixture(scope="module")
def received(desk: Desk) -> tuple[Received, ...]:
    return prepare_demo(desk)


@pytest.fixture
def round_now(desk: Desk, received: tuple[Received, ...]) -> Round:
    return list_round(desk)


def test_at_least_eight_people_are_recorded_and_all_can_be_read(
    received: tuple[Received, ...],
) -> None:
    outcomes = Counter(each.outcome for each in received)
    assert outcomes[Outcome.FILED] >= 8
    assert outcomes[Outcome.UNMATCHED] == 1
    assert set(outcomes) == {Outcome.FILED, Outcome.UNMATCHED}
    assert {each.recording.source for each in received if each.recording} == {Source.DEMO}


def test_the_round_shows_every_state_that_a_newcomer_should_see(round_now: Round) -> None:
    states = Counter(entry.state for entry in round_now.entries)
    assert states[State.WAITING] == 2
    assert states[State.KEPT] == 1
    assert states[State.TO_DECIDE] >= 8
    verdicts = {entry.verdict for entry in round_now.entries if entry.state is State.TO_DECIDE}
    assert verdicts == set(Verdict)


def test_one_person_has_a_second_attempt_after_a_decision(desk: Desk, round_now: Round) -> None:
    (entry,) = (entry for entry in round_now.entries if entry.attempt_count == 2)
    assert entry.latest is not None
    first, second = open_recording(desk, entry.latest.recording_id).attempts
    assert first.decision is not None
    assert first.decision.who == RECORDER
    assert second.decision is None


def test_recordings_lie_a_few_hours_back_and_not_ahead(desk: Desk, round_now: Round) -> None:
    for entry in round_now.entries:
        if entry.latest is not None:
            start = entry.latest.start
            assert start is not None
            assert timedelta(0) < desk.now() - start < timedelta(hours=4)


def test_preparing_it_again_changes_nothing(desk: Desk, round_now: Round) -> None:
    assert prepare_demo(desk) == ()
    assert list_round(desk) == round_now


def test_it_can_be_prepared_after_a_restart(desk: Desk, round_now: Round) -> None:
    folder = desk.store.vault.folder.parent
    again = open_desk(folder, who="demo")
    assert prepare_demo(again) == ()
    again.close()
