"""An invented clinic's round, filled with simulated recordings by the way real ones come."""

from __future__ import annotations

from couchside.service.desk import Desk
from couchside.service.receive import Received


def prepare_demo(desk: Desk) -> tuple[Received, ...]:
    """Put today's invented round on and receive its recordings; a second time changes nothing."""
    raise NotImplementedError
