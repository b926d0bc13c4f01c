"""The shorthand in which annotators of PTB-XL name leads, such as ``"I-AVF,V5,V6"``."""

from __future__ import annotations

from couchside.recording import STANDARD_LEADS

_FOLDED = {str(name).casefold(): place for place, name in enumerate(STANDARD_LEADS)}


def parse_leads(text: str) -> frozenset[str]:
    """Leads named in one cell; a part that names none is passed over."""
    named: set[int] = set()
    previous_was_chest = False
    for part in text.casefold().replace(" ", "").split(","):
        if part in {"alles", "leicht"}:
            return frozenset(map(str, STANDARD_LEADS))
        ends = [
            _place(each, previous_was_chest or part.startswith("v")) for each in part.split("-")
        ]
        known = [place for place in ends if place is not None]
        if known and len(known) == len(ends):
            named.update(range(known[0], known[-1] + 1))
        previous_was_chest = part.startswith("v")
    return frozenset(str(STANDARD_LEADS[place]) for place in named)


def _place(word: str, after_chest: bool) -> int | None:  # noqa: FBT001
    if word.isdigit() and after_chest:
        word = f"v{word}"
    return _FOLDED.get(word)
