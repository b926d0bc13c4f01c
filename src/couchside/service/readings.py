"""Recordings decoded and assessed lately, so that a page need not wait for it twice."""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass
from threading import Lock

from couchside.quality.model import Assessment
from couchside.recording import Recording
from couchside.serial.check import ComparedAssessment

MAX_KEPT_BYTES = 256 * 2**20
MOST_COMPARISONS = 200


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Reading:
    """A recording and what the code of today says of it."""

    recording: Recording
    assessment: Assessment


class RecentReadings:
    """The newest readings by their parcel's digest, the least used given up first.

    Parameters
    ----------
    max_bytes : int
        Samples are kept up to this many bytes in all.
    """

    def __init__(self, max_bytes: int = MAX_KEPT_BYTES) -> None:
        self._max_bytes = max_bytes
        self._bytes = 0
        self._readings: OrderedDict[str, Reading] = OrderedDict()
        self._lock = Lock()

    def find(self, sha256: str) -> Reading | None:
        """The reading of a parcel, where it is still at hand."""
        with self._lock:
            reading = self._readings.get(sha256)
            if reading is not None:
                self._readings.move_to_end(sha256)
            return reading

    def keep(self, sha256: str, reading: Reading) -> None:
        """Hold a reading at hand, unless it alone is too large."""
        size = _count_bytes(reading)
        if size > self._max_bytes:
            return
        with self._lock:
            replaced = self._readings.pop(sha256, None)
            self._bytes -= _count_bytes(replaced) if replaced else 0
            self._readings[sha256] = reading
            self._bytes += size
            while self._bytes > self._max_bytes:
                _, given_up = self._readings.popitem(last=False)
                self._bytes -= _count_bytes(given_up)


class RecentComparisons:
    """What lately came of comparing one recording with another, the least used given up first.

    The key says which two, and by which policy; the same code compares them alike each time.
    """

    def __init__(self) -> None:
        self._kept: OrderedDict[tuple[str, ...], ComparedAssessment] = OrderedDict()
        self._lock = Lock()

    def find(self, key: tuple[str, ...]) -> ComparedAssessment | None:
        """The assessment with its comparison, where it is still at hand."""
        with self._lock:
            found = self._kept.get(key)
            if found is not None:
                self._kept.move_to_end(key)
            return found

    def keep(self, key: tuple[str, ...], assessment: ComparedAssessment) -> None:
        """Hold it at hand."""
        with self._lock:
            self._kept[key] = assessment
            while len(self._kept) > MOST_COMPARISONS:
                self._kept.popitem(last=False)


def _count_bytes(reading: Reading) -> int:
    return reading.recording.microvolts.nbytes
