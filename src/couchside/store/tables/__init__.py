"""The tables, one class each."""

from couchside.store.tables.accounts import AccountRow, FailedTryRow, InvitationRow, SignInRow
from couchside.store.tables.arrivals import ArrivalProblemRow, ParcelFileRow, ParcelRow
from couchside.store.tables.base import Base
from couchside.store.tables.bedside import (
    CircumstancesRow,
    IdentityCheckRow,
    PatientNoteRow,
    TellNowRow,
)
from couchside.store.tables.decisions import DecisionRow
from couchside.store.tables.orders import AmendmentRow, OrderRow, PatientRow
from couchside.store.tables.readiness import (
    FaultEntryRow,
    FaultRow,
    PulseRow,
    ReadinessCheckRow,
    RecorderRow,
)
from couchside.store.tables.recordings import (
    AssessmentRow,
    AttemptRow,
    RecordingRow,
    RepeatRow,
)
from couchside.store.tables.trail import AuditEntryRow, SettingRow

__all__ = [
    "AccountRow",
    "AmendmentRow",
    "ArrivalProblemRow",
    "AssessmentRow",
    "AttemptRow",
    "AuditEntryRow",
    "Base",
    "CircumstancesRow",
    "DecisionRow",
    "FailedTryRow",
    "FaultEntryRow",
    "FaultRow",
    "IdentityCheckRow",
    "InvitationRow",
    "OrderRow",
    "ParcelFileRow",
    "ParcelRow",
    "PatientNoteRow",
    "PatientRow",
    "PulseRow",
    "ReadinessCheckRow",
    "RecorderRow",
    "RecordingRow",
    "RepeatRow",
    "SettingRow",
    "SignInRow",
    "TellNowRow",
]
