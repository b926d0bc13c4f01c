"""The use cases, one function each: it owns the transaction and the audit entry."""

from couchside.paper.sizes import PaperSize
from couchside.service.add_order import NewOrder, add_order
from couchside.service.decide import (
    OrderNotRecorded,
    RecordingDecision,
    decide,
    decide_not_recorded,
)
from couchside.service.demo import prepare_demo
from couchside.service.desk import Desk, open_desk
from couchside.service.export_page import ExportedPage, PageFormat, export_page
from couchside.service.list_round import Round, RoundEntry, list_round, open_order
from couchside.service.match import match
from couchside.service.open_recording import OpenedRecording, open_recording
from couchside.service.receive import Outcome, Received, is_known, receive
from couchside.service.recover import recover
from couchside.service.set_aside import set_problem_aside
from couchside.service.settings import Settings, change_settings, get_settings
from couchside.service.summaries import (
    ArrivalProblem,
    AttemptSummary,
    DecisionSummary,
    FileSummary,
    OrderSummary,
    RecordingSummary,
    State,
)
from couchside.store.words import DecisionKind, FiledBy, OrderStatus, Source, Urgency

__all__ = [
    "ArrivalProblem",
    "AttemptSummary",
    "DecisionKind",
    "DecisionSummary",
    "Desk",
    "ExportedPage",
    "FileSummary",
    "FiledBy",
    "NewOrder",
    "OpenedRecording",
    "OrderNotRecorded",
    "OrderStatus",
    "OrderSummary",
    "Outcome",
    "PageFormat",
    "PaperSize",
    "Received",
    "RecordingDecision",
    "RecordingSummary",
    "Round",
    "RoundEntry",
    "Settings",
    "Source",
    "State",
    "Urgency",
    "add_order",
    "change_settings",
    "decide",
    "decide_not_recorded",
    "export_page",
    "get_settings",
    "is_known",
    "list_round",
    "match",
    "open_desk",
    "open_order",
    "open_recording",
    "prepare_demo",
    "receive",
    "recover",
    "set_problem_aside",
]
