"""A person files a recording that found no order by itself."""

from __future__ import annotations

from couchside.service.desk import Desk
from couchside.service.summaries import AttemptSummary


def match(desk: Desk, *, recording_id: int, order_id: int) -> AttemptSummary:
    """Attach an unmatched recording to an order as its newest attempt.

    Raises NotFound, and Conflict where the recording already lies under an order.
    """
    raise NotImplementedError
