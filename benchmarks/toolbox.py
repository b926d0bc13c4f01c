"""The same work by a general-purpose biosignal toolbox, where one is installed.

NeuroKit2 finds beats and boundaries in one lead at a time; here it does so in all twelve.
`make bench` installs it into an environment of its own; nothing else needs it.
"""

from __future__ import annotations

import time
import warnings
from collections.abc import Sequence
from importlib import import_module
from importlib.metadata import version
from importlib.util import find_spec

import numpy as np

import couchside
from couchside.recording import Recording

TOOLBOX = "neurokit2"
METHOD = "dwt"
"""The fastest of its methods that finds onsets and ends."""
GOAL_RATIO = 40.0


def compare_with_toolbox(recordings: Sequence[Recording]) -> str:
    """How many times longer the toolbox takes for detection and boundaries; one sentence."""
    if find_spec(TOOLBOX) is None:
        return f"General-purpose toolbox: {TOOLBOX} is not installed, so no ratio was measured."
    ours, theirs, refused = [], [], 0
    for recording in recordings:
        couchside.delineate(recording)
        ours.append(_take_ms(recording))
        milliseconds, failed = _take_toolbox_ms(recording)
        theirs.append(milliseconds)
        refused += failed
    ratio = float(np.median(theirs)) / float(np.median(ours))
    met = "met" if ratio >= GOAL_RATIO else "NOT met"
    return (
        f"General-purpose toolbox: {TOOLBOX} {version(TOOLBOX)} takes {np.median(theirs):.0f} ms "
        f"for beats and boundaries of twelve leads, Couchside {np.median(ours):.1f} ms (medians of "
        f"{len(recordings)} recordings): {ratio:.0f} times as long. Goal: {GOAL_RATIO:g}; {met}. "
        f"It gave up on {refused} of {sum(len(each.leads) for each in recordings)} leads."
    )


def _take_ms(recording: Recording) -> float:
    start = time.process_time()
    couchside.delineate(recording)
    return 1000.0 * (time.process_time() - start)


def _take_toolbox_ms(recording: Recording) -> tuple[float, int]:
    """Milliseconds for all leads, and in how many the toolbox raised an error."""
    toolbox = import_module(TOOLBOX)
    failed = 0
    start = time.process_time()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        for row in recording.microvolts / 1000.0:
            try:
                clean = toolbox.ecg_clean(row, sampling_rate=recording.rate_hz)
                _, found = toolbox.ecg_peaks(clean, sampling_rate=recording.rate_hz)
                peaks = found["ECG_R_Peaks"]
                toolbox.ecg_delineate(clean, peaks, sampling_rate=recording.rate_hz, method=METHOD)
            except (ValueError, IndexError, ZeroDivisionError, KeyError, TypeError):
                failed += 1
    return 1000.0 * (time.process_time() - start), failed
