"""Groups of hearts and ages, by the words and codes of the databases."""

from __future__ import annotations

from collections.abc import Callable

from benchmarks.interchange.recordings import OpenRecording


def _says(*words: str) -> Callable[[OpenRecording], bool]:
    return lambda each: any(word.casefold() in each.words.casefold() for word in words)


def _aged(low: float, high: float) -> Callable[[OpenRecording], bool]:
    return lambda each: each.age_years is not None and low <= each.age_years < high


GROUPS: dict[str, Callable[[OpenRecording], bool]] = {
    "all": lambda _: True,
    "sinus rhythm": _says("'SR'", "Sinus rhythm", "426783006"),
    "atrial fibrillation or flutter": _says(
        "fibrillation", "flutter", "AFIB", "AFLT", "164889003", "164890007"
    ),
    "pacemaker": _says("pacemaker", "'PACE'", "10370003"),
    "left bundle branch block": _says("left bundle", "LBBB", "164909002", "733534002"),
    "right bundle branch block": _says("right bundle", "RBBB", "59118001", "713427006"),
    "infarct": _says("STEMI", "scar", "MI'", "164865005", "164867002", "164861001"),
    "hypertrophy": _says("hypertrophy", "LVH", "RVH", "164873001", "89792004"),
    "under 18 years": _aged(0.0, 18.0),
    "18 to 39 years": _aged(18.0, 40.0),
    "40 to 64 years": _aged(40.0, 65.0),
    "65 years and more": _aged(65.0, 90.0),
}
"""LUDB says it in words, PTB-XL in its statements, CinC 2020 in SNOMED CT codes. PTB-XL writes 300
for ages of 90 and more, which stand in "all" alone."""
