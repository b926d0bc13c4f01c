"""Everything that a page about one recording shows."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.quality.model import Assessment
from couchside.recording import Recording
from couchside.service.desk import Desk
from couchside.service.summaries import (
    AttemptSummary,
    DecisionSummary,
    OrderSummary,
    RecordingSummary,
    State,
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OpenedRecording:
    """One recording with its samples, its assessment and its place in the chain.

    `order` and `attempt_number` are None where the recording lies under no order, and `attempts`
    is then empty. `decisions` are those on this recording, oldest first; the last one stands.
    """

    summary: RecordingSummary
    recording: Recording
    assessment: Assessment
    order: OrderSummary | None
    order_state: State | None
    attempt_number: int | None
    attempts: tuple[AttemptSummary, ...]
    decisions: tuple[DecisionSummary, ...]

    @property
    def decision(self) -> DecisionSummary | None:
        """The decision that stands."""
        return self.decisions[-1] if self.decisions else None

    @property
    def decision_number(self) -> int:
        """What `decide` wants as `seen_number`: 0 before the first decision."""
        return self.decision.number if self.decision else 0


def open_recording(desk: Desk, recording_id: int) -> OpenedRecording:
    """One recording, decoded from its bytes; raises NotFound where there is none of that number."""
    raise NotImplementedError
