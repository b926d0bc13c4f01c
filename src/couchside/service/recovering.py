"""After a crash: finish what was begun."""

from __future__ import annotations

import logging

from couchside.service.derive import fetch_parcel
from couchside.service.desk import Desk
from couchside.service.receiving import Received, finish_arrival
from couchside.service.trail import Deed, Subject, write_trail
from couchside.store.begun import BegunArrival

_log = logging.getLogger(__name__)


def recover(desk: Desk) -> tuple[Received, ...]:
    """File every parcel whose bytes are safe but which was never filed; call it at each start.

    A parcel whose bytes were cut off was never acknowledged to its sender, who still has it; that
    is written into the audit trail.
    """
    finished = (_finish(desk, arrival) for arrival in desk.store.begun.list_noted())
    return tuple(received for received in finished if received is not None)


def _finish(desk: Desk, arrival: BegunArrival) -> Received | None:
    try:
        if _is_whole(desk, arrival):
            return _file(desk, arrival)
        _give_up(desk, arrival)
    except Exception:  # noqa: BLE001 - one parcel must not keep the others, and the start, waiting
        _log.exception("%s could not be filed; its note stays", arrival.files[0].name)
    return None


def _file(desk: Desk, arrival: BegunArrival) -> Received:
    received = finish_arrival(desk, arrival, fetch_parcel(desk.store.vault, arrival))
    _log.info("filed after an interruption: %s", received.sentence)
    return received


def _is_whole(desk: Desk, arrival: BegunArrival) -> bool:
    return all(desk.store.vault.is_sound(file.sha256) for file in arrival.files)


def _give_up(desk: Desk, arrival: BegunArrival) -> None:
    with desk.store.writing() as session:
        write_trail(
            session,
            desk,
            Deed.CUT_OFF,
            subject=Subject.PARCEL,
            subject_id=arrival.parcel_sha256,
            detail={"files": [file.name for file in arrival.files], "source": arrival.source.value},
        )
    desk.store.begun.strike(arrival.parcel_sha256)
    _log.warning("an arrival was cut off and is with its sender: %s", arrival.files[0].name)
