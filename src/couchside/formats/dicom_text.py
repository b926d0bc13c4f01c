"""Texts, numbers and codes as DICOM attributes hold them [DICOM-PS3.5 6.2]."""

from __future__ import annotations

from pydicom.dataset import Dataset

from couchside.errors import InvalidInput

LONGEST_DECIMAL = 16


def check_text(value: str, *, what: str, longest: int, forbidden: str = "\\") -> str:
    """The text itself, if an attribute of that length can hold it.

    Raises
    ------
    InvalidInput
        If it is too long, or holds a character that separates values or controls a device.
    """
    unfit = sorted({sign for sign in value if sign in forbidden or not sign.isprintable()})
    if unfit:
        raise InvalidInput(
            f"{what} {value!r} holds {unfit[0]!r}, which a DICOM attribute cannot; take it out"
        )
    if len(value) > longest:
        raise InvalidInput(
            f"{what} {value!r} has {len(value)} characters, and DICOM allows {longest}; shorten it"
        )
    return value


def format_decimal(value: float) -> str:
    """A number as a decimal string: exact where 16 characters allow, else as close as they do."""
    texts = (f"{value:.{digits}g}" for digits in range(17, 0, -1))
    shortest = repr(value).removesuffix(".0")
    fitting = (text for text in (shortest, *texts) if len(text) <= LONGEST_DECIMAL)
    return next(fitting)


def build_code(scheme: str, value: str, meaning: str) -> Dataset:
    """An item of a code sequence."""
    code = Dataset()
    code.CodeValue = value
    code.CodingSchemeDesignator = scheme
    code.CodeMeaning = meaning
    return code
