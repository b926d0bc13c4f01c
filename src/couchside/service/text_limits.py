"""How long what is typed or stated may be, so that every page, printout and message can hold it."""

from __future__ import annotations

from couchside.errors import InvalidInput

LONGEST_NAME = 64
"""Numbers, names and places: the length of a long string [DICOM-PS3.5 6.2, value representation
LO], so that what is filed here can be handed over."""

LONGEST_ACCESSION = 16
"""A short string, as the accession number is [DICOM-PS3.5 6.2, value representation SH]."""

LONGEST_TEXT = 2000
"""Reasons and remarks: what somebody will read, about a page."""


def check_length(what: str, text: str, longest: int) -> None:
    """Refuse what is too long; raises InvalidInput."""
    if len(text) > longest:
        raise InvalidInput(
            f"the {what} has {len(text)} characters, and up to {longest} are kept; shorten it"
        )
