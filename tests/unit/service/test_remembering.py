"""Answers stand for as long as the trail's mark does."""

from __future__ import annotations

import threading
from concurrent.futures import ThreadPoolExecutor

import pytest

from couchside.recording import Patient
from couchside.service import Desk, NewOrder, add_order, list_round
from couchside.service.remembering import MOST_REMEMBERED, Remembered


class Question:
    """Counts how often it is worked out."""

    def __init__(self) -> None:
        self.count = 0

    def work_out(self) -> int:
        self.count += 1
        return self.count


def test_an_answer_is_worked_out_once_a_mark() -> None:
    remembered, question = Remembered(), Question()
    answers = [remembered.recall(mark, "round", question.work_out) for mark in (7, 7, 8, 8)]
    assert answers == [1, 1, 2, 2]


def test_a_mark_that_has_passed_is_answered_and_not_remembered() -> None:
    remembered, question = Remembered(), Question()
    assert [remembered.recall(mark, "round", question.work_out) for mark in (8, 7, 8)] == [1, 2, 1]


def test_a_failure_is_not_remembered() -> None:
    remembered, question = Remembered(), Question()
    with pytest.raises(ZeroDivisionError):
        remembered.recall(1, "round", lambda: 1 // 0)
    assert remembered.recall(1, "round", question.work_out) == 1


def test_what_is_forgotten_or_one_too_many_is_worked_out_again() -> None:
    remembered, question = Remembered(), Question()
    remembered.recall(1, "round", question.work_out)
    remembered.forget("round")
    assert remembered.recall(1, "round", question.work_out) == 2
    for number in range(MOST_REMEMBERED):
        remembered.recall(1, number, question.work_out)
    before = question.count
    remembered.recall(1, "one too many", question.work_out)
    remembered.recall(1, "one too many", question.work_out)
    assert question.count == before + 2


def test_one_works_out_what_others_wait_for() -> None:
    remembered, question = Remembered(), Question()
    gate = threading.Barrier(4)

    def ask() -> int:
        gate.wait()
        return remembered.recall(1, "round", question.work_out)

    with ThreadPoolExecutor(4) as pool:
        assert {each.result() for each in [pool.submit(ask) for _ in range(4)]} == {1}


def test_a_round_is_listed_anew_after_each_change(desk: Desk) -> None:
    assert list_round(desk) is list_round(desk)
    add_order(desk, NewOrder(patient=Patient(identifier="Q-7", family_name="Fernhollow")))
    assert len(list_round(desk).entries) == 1
    assert len(list_round(desk.with_person("Somebody Else")).entries) == 1
