"""Who looked at whose data, written down before the page is shown.

An entry of its own small transaction, and not a batch that a crash could lose. A page brings its
drawings and samples after it, and is loaded again: the same person looking at the same thing within
`ONE_LOOK` is one look.
"""

from __future__ import annotations

from collections import OrderedDict
from datetime import datetime, timedelta
from threading import Lock

from couchside.service.desk import Desk
from couchside.service.trail import Deed, Subject, write_trail

ONE_LOOK = timedelta(minutes=5)
MOST_REMEMBERED = 5000

_Look = tuple[str, str, str, str, str]


class Looks:
    """Looks taken lately in this process; threads may share it."""

    def __init__(self) -> None:
        self._taken: OrderedDict[_Look, datetime] = OrderedDict()
        self._lock = Lock()

    def note(
        self, desk: Desk, subject: Subject, subject_id: int | str, *, is_renewal: bool = False
    ) -> None:
        """Write down that the person at the desk is shown something, unless it is the same look.

        A page that renews itself is the same look for as long as it stays open.
        """
        look = (desk.who, desk.account, desk.address, subject.value, str(subject_id))
        if not self._is_new(look, desk.now(), is_renewal=is_renewal):
            return
        try:
            with desk.store.writing() as session:
                write_trail(session, desk, Deed.VIEWED, subject=subject, subject_id=subject_id)
        except BaseException:
            self._forget(look)  # it was not written, so the next look must be
            raise

    def _is_new(self, look: _Look, now: datetime, *, is_renewal: bool) -> bool:
        with self._lock:
            taken_at = self._taken.get(look)
            if taken_at is not None and (is_renewal or now - taken_at < ONE_LOOK):
                return False
            self._taken[look] = now
            self._taken.move_to_end(look)
            while len(self._taken) > MOST_REMEMBERED:
                self._taken.popitem(last=False)
            return True

    def _forget(self, look: _Look) -> None:
        with self._lock:
            self._taken.pop(look, None)
