"""Couchside: keep this 12-lead ECG, or record it again, and then which electrode and why.

>>> import couchside
>>> recording = couchside.read(path)                      # doctest: +SKIP
>>> waves = couchside.delineate(recording)                # doctest: +SKIP
>>> assessment = couchside.check(recording)               # doctest: +SKIP
>>> page = couchside.render(recording, assessment)        # doctest: +SKIP

Couchside is not a medical device and never diagnoses; a clinician reads every ECG.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

from couchside.errors import CouchsideError
from couchside.version import __version__

if TYPE_CHECKING:
    from couchside.formats import read
    from couchside.paper import render
    from couchside.quality import Assessment, Finding, Verdict
    from couchside.recording import Recording
    from couchside.serial import Comparison, Examined, check, compare
    from couchside.waves import Waves, delineate

__all__ = [
    "Assessment",
    "Comparison",
    "CouchsideError",
    "Examined",
    "Finding",
    "Recording",
    "Verdict",
    "Waves",
    "__version__",
    "check",
    "compare",
    "delineate",
    "read",
    "render",
]

_HOME = {
    "Assessment": "couchside.quality",
    "Comparison": "couchside.serial",
    "Examined": "couchside.serial",
    "Finding": "couchside.quality",
    "Recording": "couchside.recording",
    "Verdict": "couchside.quality",
    "Waves": "couchside.waves",
    "check": "couchside.serial",
    "compare": "couchside.serial",
    "delineate": "couchside.waves",
    "read": "couchside.formats",
    "render": "couchside.paper",
}


def __getattr__(name: str) -> object:
    """Bring in a public name at its first use, so that the commands start quickly."""
    if name not in _HOME:
        raise AttributeError(f"couchside has no {name}")
    return getattr(import_module(_HOME[name]), name)
