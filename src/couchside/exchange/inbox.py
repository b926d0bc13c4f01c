"""A folder on disk, looked through once: what is complete is received and, if asked, put away."""

from __future__ import annotations

import logging
import os
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from couchside.errors import CouchsideError, FormatError, InvalidInput
from couchside.exchange.inbox_scan import Contents, FileState, Group, Pace, Scan, scan
from couchside.formats import ArrivedFile, Parcel, find_format, read_parcel
from couchside.formats.limits import check_byte_count
from couchside.formats.ordering import list_references
from couchside.formats.registry import Format
from couchside.formats.sniffing import states_sample_count
from couchside.formats.zipped import is_zip
from couchside.service import Desk, Outcome, Received, Source, is_known, receive

TAKEN = "taken"
NOT_TAKEN = "not-taken"
WHY = ".why.txt"
RETRY_S = 60.0
"""After Couchside itself failed on a file, such as on a full disk, it is left for so long."""

_BEING_WRITTEN = (".tmp", ".temp", ".part", ".partial", ".crdownload", ".filepart", "~")
"""Names under which programs write before they rename."""

_log = logging.getLogger(__name__)


class Afterwards(StrEnum):
    """What becomes of a file in the folder after it was received."""

    LEAVE = "leave"
    PUT_AWAY = "put away"


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """The files of one recording, and what became of them."""

    names: tuple[str, ...]
    received: Received


class Inbox:
    """What is known of a watched folder from one look to the next.

    Parameters
    ----------
    desk : Desk
        Where recordings are received.
    folder : Path
        Only files that lie directly in it are taken; hidden ones are not.
    afterwards : Afterwards
        LEAVE touches nothing in the folder; PUT_AWAY moves files to ``taken/``, or to
        ``not-taken/`` with the reason beside them. Nothing is ever deleted.
    pace : Pace
        How long to wait.
    """

    def __init__(
        self,
        desk: Desk,
        folder: Path,
        *,
        afterwards: Afterwards = Afterwards.LEAVE,
        pace: Pace | None = None,
    ) -> None:
        self._desk = desk
        self._folder = folder
        self._afterwards = afterwards
        self._pace = pace or Pace()
        self._scan = Scan()
        self._looks: dict[tuple[str, FileState], Contents] = {}
        self._done: set[tuple[str, FileState]] = set()
        self._not_before_s: dict[str, float] = {}

    def take_ready(self, *, now_s: float) -> Iterator[Taken]:
        """Receive every recording that is complete by now; `now_s` is of a steady clock."""
        listing = self._list(now_s)
        self._scan = scan(
            listing,
            self._scan,
            now_s=now_s,
            look=lambda name: self._look(name, listing[name]),
            pace=self._pace,
        )
        for group in self._scan.ready:
            if all((name, listing[name]) in self._done for name in group.names):
                continue
            received = self._take(group, listing, now_s)
            if received is not None:
                yield Taken(names=group.names, received=received)

    def _list(self, now_s: float) -> dict[str, FileState]:
        """What to look through; what is done stays in it, for a header may yet come that names it.

        Empty where there is nothing new, so that a full folder costs little.
        """
        present = dict(_list_files(self._folder))
        self._done &= set(present.items())
        self._looks = {key: look for key, look in self._looks.items() if key in present.items()}
        listing = {
            name: state
            for name, state in present.items()
            if self._not_before_s.get(name, now_s) <= now_s
        }
        return listing if listing.items() - self._done else {}

    def _look(self, name: str, state: FileState) -> Contents:
        key = (name, state)
        if key not in self._looks:
            self._looks[key] = _look_into(self._folder / name)
        return self._looks[key]

    def _take(self, group: Group, listing: dict[str, FileState], now_s: float) -> Received | None:
        try:
            received = self._receive(group, listing)
        except FormatError as error:
            _log.warning("not taken from the watched folder: %s", error)
            self._put_away(group, listing, NOT_TAKEN, why=str(error))
        except CouchsideError as error:
            _log.warning("%s could not be taken; it is tried again: %s", group.names[0], error)
            self._put_off(group, now_s)
        except Exception:  # noqa: BLE001 - unattended: one file must not keep the others waiting
            _log.exception("%s could not be taken; it is tried again", group.names[0])
            self._put_off(group, now_s)
        else:
            return received
        return None

    def _put_off(self, group: Group, now_s: float) -> None:
        self._not_before_s.update(dict.fromkeys(group.names, now_s + RETRY_S))

    def _receive(self, group: Group, listing: dict[str, FileState]) -> Received | None:
        parcel = self._load(group, listing)
        if parcel is None or self._may_still_be_written(group, parcel):
            return None
        if self._afterwards is Afterwards.LEAVE and is_known(self._desk, parcel.sha256):
            self._done.update((name, listing[name]) for name in group.names)
            return None
        received = receive(self._desk, parcel, source=Source.WATCHED_FOLDER)
        if received.outcome is Outcome.NOT_READABLE:
            self._put_away(group, listing, NOT_TAKEN, why=received.sentence)
        else:
            self._put_away(group, listing, TAKEN)
        return received

    def _load(self, group: Group, listing: dict[str, FileState]) -> Parcel | None:
        """The files' bytes; None where one has changed since the folder was listed."""
        check_byte_count(group.names[0], sum(listing[name].byte_count for name in group.names))
        files = []
        for name in group.names:
            content = (self._folder / name).read_bytes()
            if len(content) != listing[name].byte_count:
                return None
            files.append(ArrivedFile(name=name, content=content))
        return Parcel(files=tuple(files))

    def _may_still_be_written(self, group: Group, parcel: Parcel) -> bool:
        if group.unchanged_s >= self._pace.unreadable_s:
            return False
        try:
            read_parcel(parcel)
        except (FormatError, InvalidInput):
            return True
        return False

    def _put_away(
        self, group: Group, listing: dict[str, FileState], where: str, *, why: str = ""
    ) -> None:
        self._done.update((name, listing[name]) for name in group.names)
        if self._afterwards is Afterwards.LEAVE:
            return
        folder = self._folder / where
        folder.mkdir(exist_ok=True)
        for name in group.names:
            target = _free_name(folder, name)
            (self._folder / name).rename(target)
            if why and name == group.names[0]:
                target.with_name(target.name + WHY).write_text(f"{why}\n", encoding="utf-8")


def _list_files(folder: Path) -> Iterator[tuple[str, FileState]]:
    with os.scandir(folder) as entries:
        for entry in entries:
            if entry.name.startswith(".") or entry.name.lower().endswith(_BEING_WRITTEN):
                continue
            if entry.is_file(follow_symlinks=False):
                found = entry.stat(follow_symlinks=False)
                state = FileState(byte_count=found.st_size, modified_ns=found.st_mtime_ns)
                yield entry.name, state


def _look_into(path: Path) -> Contents:
    try:
        check_byte_count(path.name, path.stat().st_size)
        file = ArrivedFile(name=path.name, content=path.read_bytes())
    except (FormatError, OSError):
        return Contents(is_recording=True)  # taking it will say what is wrong
    known = find_format(file.content)
    return Contents(
        is_recording=is_zip(file.content) or known is not None,
        tells_its_end=is_zip(file.content) or _tells_its_end(known, file.content),
        companions=list_references(file),
    )


def _tells_its_end(known: Format | None, content: bytes) -> bool:
    """Whether a file cut short would be refused: not a table, nor a header without a count."""
    if known is None or known.name == "csv":
        return False
    return known.name != "wfdb" or states_sample_count(content)


def _free_name(folder: Path, name: str) -> Path:
    """A path in the folder that nothing has yet: ``a.dcm``, ``a (2).dcm``, ``a (3).dcm``."""
    path, number = folder / name, 1
    while path.exists():
        number += 1
        path = folder / f"{Path(name).stem} ({number}){Path(name).suffix}"
    return path
