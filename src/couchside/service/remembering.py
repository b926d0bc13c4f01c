"""Answers that stand until something is done, so that many pages need not each work them out.

Whatever changes what a page shows leaves an entry in the audit trail, in the same transaction. So
an answer that was worked out at a mark of the trail is the answer for as long as the mark stays.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from threading import Lock
from typing import TypeVar, cast

MOST_REMEMBERED = 100

T = TypeVar("T")


class Remembered:
    """Answers of one mark; threads may share it, and one works out what others wait for."""

    def __init__(self) -> None:
        self._mark = -1
        self._slots: dict[Hashable, _Slot] = {}
        self._lock = Lock()

    def recall(self, mark: int, key: Hashable, work_out: Callable[[], T]) -> T:
        """The answer to a question.

        Parameters
        ----------
        mark : int
            The trail's mark, read before this call; marks only grow.
        key : hashable
            The question.
        work_out : callable
            Gives the answer from what is filed; what it raises is not remembered.
        """
        slot = self._find_slot(mark, key)
        if slot is None:
            return work_out()
        with slot.lock:
            if not slot.is_filled:
                slot.answer = work_out()
                slot.is_filled = True
            return cast("T", slot.answer)

    def forget(self, key: Hashable) -> None:
        """Keep an answer no longer."""
        with self._lock:
            self._slots.pop(key, None)

    def _find_slot(self, mark: int, key: Hashable) -> _Slot | None:
        """Where the answer is or is to be; None for a mark that has passed, or where it is full."""
        with self._lock:
            if mark > self._mark:
                self._mark = mark
                self._slots = {}
            is_full = len(self._slots) >= MOST_REMEMBERED and key not in self._slots
            if mark < self._mark or is_full:
                return None
            return self._slots.setdefault(key, _Slot())


class _Slot:
    """An answer and the lock under which it is worked out."""

    def __init__(self) -> None:
        self.lock = Lock()
        self.is_filled = False
        self.answer: object = None
