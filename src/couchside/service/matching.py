"""A person files a recording that found no order by itself."""

from __future__ import annotations

from couchside.errors import Conflict, InvalidInput
from couchside.service.desk import Desk
from couchside.service.filing import add_attempt
from couchside.service.look_up import find_chain_of
from couchside.service.summaries import AttemptSummary
from couchside.service.summarise import summarise_attempt
from couchside.store.queries.decisions import list_decisions_on_recordings
from couchside.store.queries.orders import get_order
from couchside.store.queries.recordings import get_recording, list_newest_verdicts
from couchside.store.words import FiledBy, OrderStatus


def match(desk: Desk, *, recording_id: int, order_id: int) -> AttemptSummary:
    """Attach an unmatched recording to an order as its newest attempt.

    Raises NotFound, InvalidInput where the order was withdrawn, and Conflict where the recording
    already lies under an order.
    """
    with desk.store.writing() as session:
        recording = get_recording(session, recording_id)
        order = get_order(session, order_id)
        if order.status is OrderStatus.WITHDRAWN:
            raise InvalidInput("that order was withdrawn; choose another one from the round")
        taken = find_chain_of(session, recording.id)
        if taken is not None:
            name = taken.order.patient.full_name
            raise Conflict(f"the recording already lies under the order for {name}; look again")
        attempt = add_attempt(session, desk, order, recording, FiledBy.HAND)
        verdict = list_newest_verdicts(session, [recording.id])[recording.id]
        decisions = list_decisions_on_recordings(session, [recording.id])[recording.id]
        return summarise_attempt(attempt, verdict, decisions)
