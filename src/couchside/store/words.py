"""The closed sets of words that are stored."""

from __future__ import annotations

from enum import StrEnum


class Urgency(StrEnum):
    """How soon an order wants its recording [FHIR-R4, request-priority], most urgent last."""

    ROUTINE = "routine"
    URGENT = "urgent"
    ASAP = "asap"
    STAT = "stat"


class OrderStatus(StrEnum):
    """Whether an order still stands."""

    OPEN = "open"
    WITHDRAWN = "withdrawn"


class Source(StrEnum):
    """The way by which bytes arrived."""

    UPLOAD = "upload"
    WATCHED_FOLDER = "watched folder"
    COMMAND_LINE = "command line"
    DEMO = "demo"


class FiledBy(StrEnum):
    """What tied a recording to its order."""

    ACCESSION = "accession"
    PATIENT_NUMBER = "patient number"
    HAND = "by hand"


class DecisionKind(StrEnum):
    """What a person decided; the last two are said of an order alone, never of a recording."""

    KEEP = "keep"
    KEEP_WITH_REMARK = "keep with remark"
    RECORD_AGAIN = "record again"
    COULD_NOT_BE_RECORDED = "could not be recorded"
    GONE = "gone"
    EXPECTED_AGAIN = "expected again"


class Role(StrEnum):
    """What somebody does here."""

    RECORDER = "recorder"
    READER = "reader"
    LEAD = "lead"
    ADMINISTRATOR = "administrator"


class PartOfDay(StrEnum):
    """When a recorder is checked."""

    START = "start of day"
    END = "end of day"
