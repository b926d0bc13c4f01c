"""What the free lines of WFDB headers say of patient and start, in the ways that open data use."""

from __future__ import annotations

import re
from datetime import datetime

from couchside.recording import Patient, Sex

OLDEST_YEARS = 130.0
"""An age beyond this is a code for something else, such as 300 for "over 89"."""


def read_comments(comments: tuple[str, ...]) -> tuple[Patient, tuple[str, ...]]:
    """Age and sex from the comment lines, and all other lines as remarks.

    Understood are ``Age: 74``, ``age: 81``, ``<age>: 51``, ``<age>: 49 <sex>: M``,
    ``Sex: Female``, and a first line such as ``69 M 1456 653 x2``.

    Parameters
    ----------
    comments : tuple of str
        Comment lines without their ``#``.

    Returns
    -------
    Patient
        Age and sex where a line states them.
    tuple of str
        The lines that say anything else, as written.
    """
    stated: dict[str, str] = {}
    for line in comments[:1]:
        stated |= _find_old_style(line)
    for line in comments:
        stated |= {key.casefold(): value for key, value in _STATEMENT.findall(line)}
    patient = Patient(
        stated_age_years=_find_age(stated.get("age", "")),
        sex=_SEXES.get(stated.get("sex", "").casefold(), Sex.NOT_STATED),
    )
    return patient, tuple(line for line in comments if _STATEMENT.sub("", line).strip())


def parse_start(text: str) -> tuple[datetime | None, tuple[str, ...]]:
    """Start of a record from what follows the sample count in the record line.

    Parameters
    ----------
    text : str
        ``HH:MM:SS[.sss] DD/MM/YYYY`` as the format has it, or anything else.

    Returns
    -------
    datetime or None
        Without a zone, for the format states none; None where the text is not of that form.
    tuple of str
        A remark with the text as written where it could not be used.
    """
    if not text:
        return None, ()
    try:
        return _parse_strictly(text), ()
    except ValueError:
        return None, (f"Start as the header states it: {text}",)


_STATEMENT = re.compile(r"(?:^\s*|<)(age|sex)>?\s*:\s*([^\s<]*)", re.IGNORECASE)
_SEXES = {
    "m": Sex.MALE,
    "male": Sex.MALE,
    "f": Sex.FEMALE,
    "female": Sex.FEMALE,
    "o": Sex.OTHER,
    "other": Sex.OTHER,
}


def _find_old_style(line: str) -> dict[str, str]:
    match = re.match(r"\s*(-?\d{1,3})\s+([MF])\b", line)
    return {"age": match[1], "sex": match[2]} if match else {}


def _find_age(text: str) -> float | None:
    try:
        years = float(text)
    except ValueError:
        return None
    return years if 0 <= years <= OLDEST_YEARS else None


def _parse_strictly(text: str) -> datetime:
    time, _, date = text.partition(" ")
    pattern = "%H:%M:%S.%f" if "." in time else "%H:%M:%S"
    return datetime.strptime(f"{date.strip()} {time}", f"%d/%m/%Y {pattern}")  # noqa: DTZ007 (none is stated)
