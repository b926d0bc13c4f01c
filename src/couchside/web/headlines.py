"""What a verdict rests on, in a few words, for the rows of the round."""

from __future__ import annotations

from collections import OrderedDict
from threading import Lock

from couchside.service import Desk, open_recording
from couchside.web.contexts.verdict_view import describe_cause, find_leading
from couchside.web.translation import get_language

MOST_KEPT = 2000


class Headlines:
    """Headlines by language and recording; this code's assessment of a recording never changes."""

    def __init__(self) -> None:
        self._kept: OrderedDict[tuple[str, int], str] = OrderedDict()
        self._lock = Lock()

    def get(self, desk: Desk, recording_id: int) -> str:
        """The electrode, or else the kind of finding, that led to the verdict."""
        with self._lock:
            known = self._kept.get((get_language().code, recording_id))
        if known is not None:
            return known
        assessment = open_recording(desk, recording_id).assessment
        return self._keep(recording_id, describe_cause(find_leading(assessment)))

    def _keep(self, recording_id: int, headline: str) -> str:
        with self._lock:
            self._kept[get_language().code, recording_id] = headline
            while len(self._kept) > MOST_KEPT:
                self._kept.popitem(last=False)
        return headline
