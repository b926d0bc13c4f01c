"""A thread that takes what recorders or people drop into a folder."""

from __future__ import annotations

import logging
import time
from pathlib import Path
from threading import Event, Thread
from types import TracebackType
from typing import Self

from couchside.errors import InvalidInput
from couchside.exchange.inbox import Afterwards, Inbox
from couchside.exchange.inbox_scan import Pace
from couchside.service.desk import Desk

WHO = "watched folder"
LOOK_EVERY_S = 0.1
"""Shared folders report no changes, so that looking is the one way that always works; and what is
new must stay unchanged for longer than this in any case."""

REST_PER_LOOK = 4.0
"""Where looking takes long, as through a full folder far away, it rests so many times as long."""

_PAUSE_S = 5.0
_log = logging.getLogger(__name__)


class FolderWatch:
    """Watches a folder from `start` until `stop`; also a context manager.

    Parameters
    ----------
    desk : Desk
        Where recordings are received, in the name of the watched folder.
    folder : Path
        Made where it is missing.
    afterwards, pace
        See `couchside.exchange.inbox.Inbox`.

    Raises
    ------
    InvalidInput
        If the folder cannot be made or is none.
    """

    def __init__(
        self,
        desk: Desk,
        folder: Path,
        *,
        afterwards: Afterwards = Afterwards.LEAVE,
        pace: Pace | None = None,
    ) -> None:
        _make_folder(folder)
        self._folder = folder
        self._inbox = Inbox(desk.with_person(WHO), folder, afterwards=afterwards, pace=pace)
        self._ending = Event()
        self._thread = Thread(target=self._run, name=WHO, daemon=True)

    def start(self) -> None:
        """Begin to watch; what already lies there is taken first."""
        self._thread.start()

    def stop(self) -> None:
        """Finish the recording in hand and end."""
        self._ending.set()
        self._thread.join()

    def __enter__(self) -> Self:
        self.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.stop()

    def _run(self) -> None:
        pause_s = 0.0
        while not self._ending.wait(pause_s):
            try:
                begun_s = time.monotonic()
                has_taken = self._look()
                looked_s = 0.0 if has_taken else time.monotonic() - begun_s
                pause_s = max(LOOK_EVERY_S, REST_PER_LOOK * looked_s)
            except OSError as error:  # a share may come back
                _log.warning("%s cannot be watched (%s); trying again", self._folder, error)
                pause_s = _PAUSE_S
            except Exception:  # noqa: BLE001 - the thread's outermost shell
                _log.exception("%s could not be looked through; trying again", self._folder)
                pause_s = _PAUSE_S

    def _look(self) -> bool:
        """Take what is ready; whether there was anything."""
        has_taken = False
        for taken in self._inbox.take_ready(now_s=time.monotonic()):
            has_taken = True
            _log.info("%s", taken.received.sentence)
            if self._ending.is_set():
                break
        return has_taken


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InvalidInput(
            f"{folder} cannot be watched ({error.strerror}); name a folder that may be read"
        ) from error
