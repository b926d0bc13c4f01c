"""The register of the department's recorders: the machines, each known by what its files state."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from sqlalchemy.orm import Session

from couchside.errors import Conflict, InvalidInput
from couchside.recording import Device
from couchside.service.desk import Desk
from couchside.service.text_limits import LONGEST_NAME, LONGEST_TEXT, check_length
from couchside.service.trail import Deed, Subject, write_trail
from couchside.store.queries.recorders import (
    find_recorder_named,
    get_recorder,
    list_recorders,
    list_stated_devices,
)
from couchside.store.tables import RecorderRow

LOOK_BACK = timedelta(days=30)
"""Files of this time suggest recorders that are not registered yet."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RecorderFacts:
    """What the department says of a recorder; serial number and station are as its files state."""

    name: str
    place: str = ""
    manufacturer: str = ""
    model: str = ""
    serial_number: str = ""
    station_name: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RecorderEntry:
    """A recorder of the register; `number` counts the versions of its facts from 1."""

    id: int
    facts: RecorderFacts
    number: int
    registered_at: datetime
    retired_at: datetime | None
    retired_because: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Suggestion:
    """A recorder that files name and nobody has registered; `count` is of its recordings."""

    facts: RecorderFacts
    count: int


def register_recorder(desk: Desk, facts: RecorderFacts) -> RecorderEntry:
    """Add a recorder; raises InvalidInput where name, serial number or station are not its own."""
    facts = _strip(facts)
    with desk.store.writing() as session:
        _check(session, facts, besides=None)
        row = RecorderRow(number=1, registered_at=desk.now(), retired_at=None, retired_because="")
        _write(row, facts)
        session.add(row)
        session.flush()
        _note(session, desk, Deed.RECORDER_REGISTERED, row)
        return summarise_recorder(row)


def change_recorder(
    desk: Desk, recorder_id: int, facts: RecorderFacts, *, seen_number: int
) -> RecorderEntry:
    """Say something else of a recorder; the trail keeps what was said before.

    Raises NotFound, InvalidInput as above, and Conflict where somebody else changed it meanwhile.
    """
    facts = _strip(facts)
    with desk.store.writing() as session:
        row = get_recorder(session, recorder_id)
        _check_seen(row, seen_number)
        _check(session, facts, besides=row.id)
        _write(row, facts)
        row.number = seen_number + 1
        _note(session, desk, Deed.RECORDER_CHANGED, row)
        return summarise_recorder(row)


def retire_recorder(
    desk: Desk, recorder_id: int, *, because: str, seen_number: int
) -> RecorderEntry:
    """Take a recorder out of the register for good; all that was kept of it stays.

    Raises NotFound, InvalidInput without a reason, and Conflict where it was changed meanwhile.
    """
    because = because.strip()
    check_length("reason", because, LONGEST_TEXT)
    if not because:
        raise InvalidInput("the reason is empty; write why the recorder is retired")
    with desk.store.writing() as session:
        row = get_recorder(session, recorder_id)
        _check_seen(row, seen_number)
        if row.retired_at is not None:
            raise Conflict("the recorder was retired already; look again")
        row.retired_at, row.retired_because = desk.now(), because
        row.number = seen_number + 1
        _note(session, desk, Deed.RECORDER_RETIRED, row)
        return summarise_recorder(row)


def list_all_recorders(desk: Desk) -> tuple[RecorderEntry, ...]:
    """Recorders in use and retired, by name."""
    with desk.store.reading() as session:
        return tuple(summarise_recorder(row) for row in list_recorders(session))


def suggest_recorders(desk: Desk) -> tuple[Suggestion, ...]:
    """Recorders that files of late name and that are not in the register, by what they state."""
    with desk.store.reading() as session:
        rows = [row for row in list_recorders(session) if row.retired_at is None]
        stated = list_stated_devices(session, desk.now() - LOOK_BACK)
    counted: dict[RecorderFacts, int] = {}
    for manufacturer, model, serial_number, station_name, count in stated:
        device = Device(
            manufacturer=manufacturer,
            model=model,
            serial_number=serial_number,
            station_name=station_name,
        )
        if not any(is_stated_by(row, device) for row in rows):
            facts = _name_from(device)
            counted[facts] = counted.get(facts, 0) + count
    return tuple(Suggestion(facts=facts, count=count) for facts, count in counted.items())


def find_recorder_of(session: Session, device: Device) -> RecorderRow | None:
    """The one recorder in use that a file states; None where it states none, or two fit."""
    fitting = [
        row
        for row in list_recorders(session)
        if row.retired_at is None and is_stated_by(row, device)
    ]
    return fitting[0] if len(fitting) == 1 else None


def is_stated_by(row: RecorderRow, device: Device) -> bool:
    """Whether a file states this recorder.

    By its serial number, unless both sides name a manufacturer and not the same; else by its
    station name, where the file or the register has no serial number.
    """
    if row.serial_number and device.serial_number:
        both_named = bool(row.manufacturer and device.manufacturer)
        is_other_make = both_named and row.manufacturer != device.manufacturer
        return row.serial_number == device.serial_number and not is_other_make
    return bool(row.station_name) and row.station_name == device.station_name


def summarise_recorder(row: RecorderRow) -> RecorderEntry:
    """A recorder as the use cases hand it out."""
    return RecorderEntry(
        id=row.id,
        facts=RecorderFacts(
            name=row.name,
            place=row.place,
            manufacturer=row.manufacturer,
            model=row.model,
            serial_number=row.serial_number,
            station_name=row.station_name,
        ),
        number=row.number,
        registered_at=row.registered_at,
        retired_at=row.retired_at,
        retired_because=row.retired_because,
    )


def check_in_use(row: RecorderRow) -> None:
    """Raises Conflict for a recorder that is retired."""
    if row.retired_at is not None:
        raise Conflict(f"{row.name} is retired; register a recorder that takes its place")


def _strip(facts: RecorderFacts) -> RecorderFacts:
    return RecorderFacts(
        name=" ".join(facts.name.split()),
        place=facts.place.strip(),
        manufacturer=facts.manufacturer.strip(),
        model=facts.model.strip(),
        serial_number=facts.serial_number.strip(),
        station_name=facts.station_name.strip(),
    )


def _check(session: Session, facts: RecorderFacts, *, besides: int | None) -> None:
    if not facts.name:
        raise InvalidInput("the name is empty; give the name by which people call the recorder")
    for what, text in (
        ("name", facts.name),
        ("place", facts.place),
        ("manufacturer", facts.manufacturer),
        ("model", facts.model),
        ("serial number", facts.serial_number),
        ("station name", facts.station_name),
    ):
        check_length(what, text, LONGEST_NAME)
    named = find_recorder_named(session, facts.name)
    if named is not None and named.id != besides:
        raise InvalidInput(f"there is a recorder {facts.name} already; take another name")
    for row in list_recorders(session):
        if row.id != besides and row.retired_at is None:
            _check_own(row, facts)


def _check_own(row: RecorderRow, facts: RecorderFacts) -> None:
    """That no file would state both recorders."""
    device = Device(
        manufacturer=facts.manufacturer,
        serial_number=facts.serial_number,
        station_name=facts.station_name,
    )
    if is_stated_by(row, device):
        by_serial = bool(row.serial_number and facts.serial_number)
        what = (
            f"the serial number {facts.serial_number}"
            if by_serial
            else f"the station name {facts.station_name}"
        )
        raise InvalidInput(f"{row.name} has {what} already; correct one of the two")


def _check_seen(row: RecorderRow, seen_number: int) -> None:
    if row.number != seen_number:
        raise Conflict("somebody changed this recorder meanwhile; look again and repeat if need be")


def _write(row: RecorderRow, facts: RecorderFacts) -> None:
    row.name, row.place = facts.name, facts.place
    row.manufacturer, row.model = facts.manufacturer, facts.model
    row.serial_number, row.station_name = facts.serial_number, facts.station_name


def _note(session: Session, desk: Desk, deed: Deed, row: RecorderRow) -> None:
    session.flush()
    write_trail(
        session,
        desk,
        deed,
        subject=Subject.RECORDER,
        subject_id=row.id,
        detail={
            "number": row.number,
            "name": row.name,
            "place": row.place,
            "manufacturer": row.manufacturer,
            "model": row.model,
            "serial_number": row.serial_number,
            "station_name": row.station_name,
            "retired_because": row.retired_because,
        },
    )


def _name_from(device: Device) -> RecorderFacts:
    named = device.station_name or f"{device.model} {device.serial_number}".strip()
    facts = RecorderFacts(
        name=named,
        place=device.station_name,
        manufacturer=device.manufacturer,
        model=device.model,
        serial_number=device.serial_number,
        station_name=device.station_name,
    )
    return replace(facts, name=facts.name[:LONGEST_NAME])
