"""The use cases, one function each: it owns the transaction and the audit entry."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from couchside.paper.sizes import PaperSize
    from couchside.service.amending import IdentityWish, amend_identity
    from couchside.service.circumstances import WrittenCircumstances, write_circumstances
    from couchside.service.deciding import (
        OrderDecision,
        RecordingDecision,
        decide,
        decide_on_order,
    )
    from couchside.service.demo import prepare_demo
    from couchside.service.desk import Desk, open_desk
    from couchside.service.exporting import (
        ExportedFile,
        PageFormat,
        export_page,
        export_put_right,
    )
    from couchside.service.identifying import Identifier, IdentityCheck, check_identity, list_checks
    from couchside.service.knowing import (
        Condition,
        EarlierPlacement,
        EarlierTrouble,
        PatientNotes,
        WhatToKnow,
        WrittenNotes,
        find_what_to_know,
        write_patient_notes,
    )
    from couchside.service.matching import match, move
    from couchside.service.opening import OpenedRecording, open_recording
    from couchside.service.ordering import NewOrder, add_order
    from couchside.service.receiving import Outcome, Received, is_known, receive
    from couchside.service.reconciling import (
        OpenItem,
        OpenKind,
        RoundClosing,
        close_round,
        list_closings,
        list_open_items,
    )
    from couchside.service.recovering import recover
    from couchside.service.rounds import Round, RoundEntry, list_round, open_order
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
    from couchside.service.telling import (
        Telling,
        TellNowEntry,
        close_telling,
        list_to_tell,
        open_telling,
    )
    from couchside.service.trail import get_change_mark
    from couchside.store.words import DecisionKind, FiledBy, OrderStatus, Source, Urgency

__all__ = [
    "ArrivalProblem",
    "AttemptSummary",
    "Condition",
    "DecisionKind",
    "DecisionSummary",
    "Desk",
    "EarlierPlacement",
    "EarlierTrouble",
    "ExportedFile",
    "FileSummary",
    "FiledBy",
    "Identifier",
    "IdentityCheck",
    "IdentityWish",
    "NewOrder",
    "OpenItem",
    "OpenKind",
    "OpenedRecording",
    "OrderDecision",
    "OrderStatus",
    "OrderSummary",
    "Outcome",
    "PageFormat",
    "PaperSize",
    "PatientNotes",
    "Received",
    "RecordingDecision",
    "RecordingSummary",
    "Round",
    "RoundClosing",
    "RoundEntry",
    "Settings",
    "Source",
    "State",
    "TellNowEntry",
    "Telling",
    "Urgency",
    "WhatToKnow",
    "WrittenCircumstances",
    "WrittenNotes",
    "add_order",
    "amend_identity",
    "change_settings",
    "check_identity",
    "close_round",
    "close_telling",
    "decide",
    "decide_on_order",
    "export_page",
    "export_put_right",
    "find_what_to_know",
    "get_change_mark",
    "get_settings",
    "is_known",
    "list_checks",
    "list_closings",
    "list_open_items",
    "list_round",
    "list_to_tell",
    "match",
    "move",
    "open_desk",
    "open_order",
    "open_recording",
    "open_telling",
    "prepare_demo",
    "receive",
    "recover",
    "set_problem_aside",
    "write_circumstances",
    "write_patient_notes",
]

_HOME = {
    "Condition": "couchside.service.knowing",
    "EarlierPlacement": "couchside.service.knowing",
    "EarlierTrouble": "couchside.service.knowing",
    "PatientNotes": "couchside.service.knowing",
    "WhatToKnow": "couchside.service.knowing",
    "WrittenNotes": "couchside.service.knowing",
    "find_what_to_know": "couchside.service.knowing",
    "write_patient_notes": "couchside.service.knowing",
    "list_open_items": "couchside.service.reconciling",
    "list_closings": "couchside.service.reconciling",
    "close_round": "couchside.service.reconciling",
    "RoundClosing": "couchside.service.reconciling",
    "OpenKind": "couchside.service.reconciling",
    "OpenItem": "couchside.service.reconciling",
    "write_circumstances": "couchside.service.circumstances",
    "WrittenCircumstances": "couchside.service.circumstances",
    "open_telling": "couchside.service.telling",
    "list_to_tell": "couchside.service.telling",
    "close_telling": "couchside.service.telling",
    "Telling": "couchside.service.telling",
    "TellNowEntry": "couchside.service.telling",
    "list_checks": "couchside.service.identifying",
    "check_identity": "couchside.service.identifying",
    "IdentityCheck": "couchside.service.identifying",
    "IdentityWish": "couchside.service.amending",
    "Identifier": "couchside.service.identifying",
    "ArrivalProblem": "couchside.service.summaries",
    "AttemptSummary": "couchside.service.summaries",
    "DecisionKind": "couchside.store.words",
    "DecisionSummary": "couchside.service.summaries",
    "Desk": "couchside.service.desk",
    "ExportedFile": "couchside.service.exporting",
    "FileSummary": "couchside.service.summaries",
    "FiledBy": "couchside.store.words",
    "NewOrder": "couchside.service.ordering",
    "OpenedRecording": "couchside.service.opening",
    "OrderDecision": "couchside.service.deciding",
    "OrderStatus": "couchside.store.words",
    "OrderSummary": "couchside.service.summaries",
    "Outcome": "couchside.service.receiving",
    "PageFormat": "couchside.service.exporting",
    "PaperSize": "couchside.paper.sizes",
    "Received": "couchside.service.receiving",
    "RecordingDecision": "couchside.service.deciding",
    "RecordingSummary": "couchside.service.summaries",
    "Round": "couchside.service.rounds",
    "RoundEntry": "couchside.service.rounds",
    "Settings": "couchside.service.settings",
    "Source": "couchside.store.words",
    "State": "couchside.service.summaries",
    "Urgency": "couchside.store.words",
    "add_order": "couchside.service.ordering",
    "amend_identity": "couchside.service.amending",
    "change_settings": "couchside.service.settings",
    "decide": "couchside.service.deciding",
    "decide_on_order": "couchside.service.deciding",
    "export_page": "couchside.service.exporting",
    "export_put_right": "couchside.service.exporting",
    "get_change_mark": "couchside.service.trail",
    "get_settings": "couchside.service.settings",
    "is_known": "couchside.service.receiving",
    "list_round": "couchside.service.rounds",
    "match": "couchside.service.matching",
    "move": "couchside.service.matching",
    "open_desk": "couchside.service.desk",
    "open_order": "couchside.service.rounds",
    "open_recording": "couchside.service.opening",
    "prepare_demo": "couchside.service.demo",
    "receive": "couchside.service.receiving",
    "recover": "couchside.service.recovering",
    "set_problem_aside": "couchside.service.set_aside",
}


def __getattr__(name: str) -> object:
    """Bring in a use case at its first use, so that commands that need none start quickly."""
    if name not in _HOME:
        raise AttributeError(f"couchside.service has no {name}")
    return getattr(import_module(_HOME[name]), name)
