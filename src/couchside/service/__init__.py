"""The use cases, one function each: it owns the transaction and the audit entry."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
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

_HOME = {
    "ArrivalProblem": "couchside.service.summaries",
    "AttemptSummary": "couchside.service.summaries",
    "DecisionKind": "couchside.store.words",
    "DecisionSummary": "couchside.service.summaries",
    "Desk": "couchside.service.desk",
    "ExportedPage": "couchside.service.export_page",
    "FileSummary": "couchside.service.summaries",
    "FiledBy": "couchside.store.words",
    "NewOrder": "couchside.service.add_order",
    "OpenedRecording": "couchside.service.open_recording",
    "OrderNotRecorded": "couchside.service.decide",
    "OrderStatus": "couchside.store.words",
    "OrderSummary": "couchside.service.summaries",
    "Outcome": "couchside.service.receive",
    "PageFormat": "couchside.service.export_page",
    "PaperSize": "couchside.paper.sizes",
    "Received": "couchside.service.receive",
    "RecordingDecision": "couchside.service.decide",
    "RecordingSummary": "couchside.service.summaries",
    "Round": "couchside.service.list_round",
    "RoundEntry": "couchside.service.list_round",
    "Settings": "couchside.service.settings",
    "Source": "couchside.store.words",
    "State": "couchside.service.summaries",
    "Urgency": "couchside.store.words",
    "add_order": "couchside.service.add_order",
    "change_settings": "couchside.service.settings",
    "decide": "couchside.service.decide",
    "decide_not_recorded": "couchside.service.decide",
    "export_page": "couchside.service.export_page",
    "get_settings": "couchside.service.settings",
    "is_known": "couchside.service.receive",
    "list_round": "couchside.service.list_round",
    "match": "couchside.service.match",
    "open_desk": "couchside.service.desk",
    "open_order": "couchside.service.list_round",
    "open_recording": "couchside.service.open_recording",
    "prepare_demo": "couchside.service.demo",
    "receive": "couchside.service.receive",
    "recover": "couchside.service.recover",
    "set_problem_aside": "couchside.service.set_aside",
}


def __getattr__(name: str) -> object:
    """Bring in a use case at its first use, so that commands that need none start quickly."""
    if name not in _HOME:
        raise AttributeError(f"couchside.service has no {name}")
    return getattr(import_module(_HOME[name]), name)
