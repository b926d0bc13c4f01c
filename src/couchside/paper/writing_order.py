"""Text that is written from right to left, put into the order in which a page places it."""

from __future__ import annotations

import unicodedata

_RIGHT_TO_LEFT = {"R", "AL"}
_BREAKS_A_RUN = {"L", "EN", "AN"}
_MIRRORED = str.maketrans("()[]<>{}«»", ")(][><}{»«")


def in_visual_order(text: str) -> str:
    """The text as its characters stand from left to right on the page.

    Parameters
    ----------
    text : str
        In the order in which it is read.

    Returns
    -------
    str
        Every run of right-to-left letters, with the marks and spaces between them, is turned round.
        This is the part of the Unicode bidirectional algorithm that names need; a number within
        such a run ends it. Letters of Arabic are not joined.
    """
    ordered: list[str] = []
    position = 0
    while position < len(text):
        stop = _run_stop(text, position)
        if stop > position:
            ordered += reversed(_clusters(text[position:stop].translate(_MIRRORED)))
            position = stop
        else:
            ordered.append(text[position])
            position += 1
    return "".join(ordered)


def is_joined_script(text: str) -> bool:
    """Whether the text holds letters that change their shape beside one another, as Arabic does."""
    return any(unicodedata.bidirectional(mark) == "AL" for mark in text)


def _run_stop(text: str, start: int) -> int:
    """Where the right-to-left run that begins at a place stops; the place itself if none does."""
    stop = start
    if unicodedata.bidirectional(text[start]) not in _RIGHT_TO_LEFT:
        return stop
    for index in range(start, len(text)):
        kind = unicodedata.bidirectional(text[index])
        if kind in _BREAKS_A_RUN:
            break
        if kind in _RIGHT_TO_LEFT or (kind == "NSM" and stop == index):
            stop = index + 1
    return stop


def _clusters(text: str) -> list[str]:
    """Letters, each with the marks that stand on it."""
    clusters: list[str] = []
    for mark in text:
        if clusters and unicodedata.combining(mark):
            clusters[-1] += mark
        else:
            clusters.append(mark)
    return clusters
