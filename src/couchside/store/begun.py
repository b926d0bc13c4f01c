"""Notes of arrivals that were begun, so that a crash between bytes and database loses nothing.

A note is written before the first byte is kept and removed after the parcel is filed. A note that
is found at the start therefore names a parcel that was never filed.
"""

from __future__ import annotations

import json
import logging
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path

from couchside.store.durable import sync_folder, write_durably
from couchside.store.words import Source

_UNFINISHED = "unfinished"

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True, kw_only=True)
class BegunFile:
    """A file of a parcel: the name it came under and its digest."""

    name: str
    sha256: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BegunArrival:
    """A parcel whose arrival was begun."""

    parcel_sha256: str
    files: tuple[BegunFile, ...]
    source: Source
    received_at: datetime
    received_by: str
    hinted_rate_hz: float | None
    hinted_microvolts_per_unit: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class BegunArrivals:
    """The folder of notes."""

    folder: Path

    def note(self, arrival: BegunArrival) -> None:
        """Write down that an arrival begins."""
        write_durably(
            self._path(arrival.parcel_sha256),
            _encode(arrival),
            unfinished=self.folder / _UNFINISHED,
        )

    def strike(self, parcel_sha256: str) -> None:
        """Take the note away: the parcel is filed."""
        self._path(parcel_sha256).unlink(missing_ok=True)
        sync_folder(self.folder)

    def list_noted(self) -> Iterator[BegunArrival]:
        """Arrivals begun and not filed, in the order of their digests.

        A note that cannot be understood stays where it is, and the log names it.
        """
        for path in sorted(self.folder.glob("*.json")):
            arrival = _find_arrival(path)
            if arrival is not None:
                yield arrival

    def _path(self, parcel_sha256: str) -> Path:
        return self.folder / f"{parcel_sha256}.json"


def _find_arrival(path: Path) -> BegunArrival | None:
    try:
        return _decode(path.read_bytes())
    except FileNotFoundError:
        return None  # another process has filed it, and struck the note, since the folder was read
    except (KeyError, OSError, TypeError, ValueError):
        _log.exception("the note %s cannot be understood; it stays", path)
        return None


def _encode(arrival: BegunArrival) -> bytes:
    fields = asdict(arrival) | {"received_at": arrival.received_at.isoformat()}
    return json.dumps(fields, indent=1).encode()


def _decode(content: bytes) -> BegunArrival:
    fields = json.loads(content)
    return BegunArrival(
        parcel_sha256=fields["parcel_sha256"],
        files=tuple(BegunFile(**file) for file in fields["files"]),
        source=Source(fields["source"]),
        received_at=datetime.fromisoformat(fields["received_at"]),
        received_by=fields["received_by"],
        hinted_rate_hz=fields["hinted_rate_hz"],
        hinted_microvolts_per_unit=fields["hinted_microvolts_per_unit"],
    )
