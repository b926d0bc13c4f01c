"""Everything that Couchside raises on purpose, in one tree.

CouchsideError
├── InvalidInput (ValueError)       an argument, a value or a path cannot be used
├── FormatError                     a file is not what it should be
│   ├── UnknownFormat               no reader knows these bytes
│   ├── CorruptFile                 the format is known, the content breaks its rules
│   └── UnsupportedFeature          lawful in the format, not read here
├── ProtocolError                   a conversation over a network went wrong
│   ├── LocalProtocolError          by what this side tried to say
│   └── RemoteProtocolError         by what the other side said
├── StoreError                      the record could not be read or written
│   ├── NotFound (LookupError)      nothing is filed under that key
│   └── Conflict                    somebody else changed it first
└── NotAllowed                      this person may not do this

A message names the file, what was found, what was expected and what to do, in one sentence.
"""

from __future__ import annotations

__all__ = [
    "Conflict",
    "CorruptFile",
    "CouchsideError",
    "FormatError",
    "InvalidInput",
    "LocalProtocolError",
    "NotAllowed",
    "NotFound",
    "ProtocolError",
    "RemoteProtocolError",
    "StoreError",
    "UnknownFormat",
    "UnsupportedFeature",
]


class CouchsideError(Exception):
    """Anything that Couchside raises on purpose."""


class InvalidInput(CouchsideError, ValueError):
    """An argument, a value or a path cannot be used."""


class FormatError(CouchsideError):
    """A file is not what it should be.

    Parameters
    ----------
    message : str
        One sentence: what was found, what was expected, what to do.
    format_name : str
        The format's name, empty where none was recognised.
    offset : int or None
        Byte at which the trouble was met.
    field : str
        The field or section that could not be read, empty where there is none.
    """

    def __init__(
        self, message: str, *, format_name: str = "", offset: int | None = None, field: str = ""
    ) -> None:
        super().__init__(message)
        self.format_name = format_name
        self.offset = offset
        self.field = field


class UnknownFormat(FormatError):
    """No reader knows these bytes."""


class CorruptFile(FormatError):
    """The format is known, but the content breaks its rules."""


class UnsupportedFeature(FormatError):
    """Lawful in the format, but not read here."""


class ProtocolError(CouchsideError):
    """A conversation over a network went wrong."""


class LocalProtocolError(ProtocolError):
    """This side tried to say what the protocol does not allow."""


class RemoteProtocolError(ProtocolError):
    """The other side said what the protocol does not allow."""


class StoreError(CouchsideError):
    """The record could not be read or written."""


class NotFound(StoreError, LookupError):
    """Nothing is filed under that key."""


class Conflict(StoreError):
    """Somebody else changed the same thing first."""


class NotAllowed(CouchsideError):
    """This person may not do this."""
