"""The desk at which use cases are worked: where things are filed, the time, who is at it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import MAXYEAR, MINYEAR, UTC, date, datetime, time, timedelta, tzinfo
from pathlib import Path

from couchside.errors import InvalidInput
from couchside.service.readings import RecentComparisons, RecentReadings
from couchside.service.remembering import Remembered
from couchside.store import Store, open_store
from couchside.store.engines import parse_database_url


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Desk:
    """What a use case needs beside its own input; safe to share between threads.

    Parameters
    ----------
    store : Store
        Database and vault.
    who : str
        The person, or the part of Couchside, that the audit trail names.
    account : str
        The sign-in name of that person; empty where nobody signed in.
    address : str
        The machine from which that person works; empty where it is this one's own doing.
    as_of : int or None
        The trail's mark by which answers are remembered while one page is made; None means the
        newest each time.
    clock : callable
        Gives the time now, with a zone.
    zone : tzinfo or None
        The clinic's zone, by which a day begins and ends; None means this machine's own.
    readings : RecentReadings
        Recordings decoded lately.
    comparisons : RecentComparisons
        What came of comparing two of them.
    remembered : Remembered
        Answers that stand until something is done.
    """

    store: Store
    who: str
    clock: Callable[[], datetime]
    zone: tzinfo | None = None
    readings: RecentReadings = field(default_factory=RecentReadings)
    comparisons: RecentComparisons = field(default_factory=RecentComparisons)
    remembered: Remembered = field(default_factory=Remembered)
    account: str = ""
    address: str = ""
    as_of: int | None = None

    def __post_init__(self) -> None:
        if not self.who.strip():
            raise InvalidInput("nobody is named at the desk; say who works at it")

    def now(self) -> datetime:
        """The time now, in UTC."""
        return self.clock().astimezone(UTC)

    def today(self) -> date:
        """The clinic's own date."""
        return self.day_of(self.clock())

    def day_of(self, moment: datetime) -> date:
        """The clinic's date at a moment; a moment without a zone is on the clinic's clock.

        Raises InvalidInput in the first and the last year of the calendar, as the two below do:
        there a change of zone, or the next day, may lie outside it.
        """
        _check_year(moment)
        if moment.tzinfo is None:
            return moment.date()
        return moment.astimezone(self.zone).date()

    def to_utc(self, moment: datetime) -> datetime:
        """A moment in UTC; one without a zone is on the clinic's clock."""
        _check_year(moment)
        if moment.tzinfo is None and self.zone is not None:
            return moment.replace(tzinfo=self.zone).astimezone(UTC)
        return moment.astimezone(UTC)

    def span_of(self, day: date) -> tuple[datetime, datetime]:
        """When a day of the clinic begins and when the next one does, in UTC."""
        _check_year(day)
        following = day + timedelta(days=1)
        return (
            self.to_utc(datetime.combine(day, time.min)),
            self.to_utc(datetime.combine(following, time.min)),
        )

    @property
    def data_folder(self) -> Path:
        """Where everything is filed, and where the department's own tables lie."""
        return self.store.vault.folder.parent

    def with_person(self, who: str, *, account: str = "", address: str = "") -> Desk:
        """The same desk with another person at it."""
        return replace(self, who=who, account=account, address=address)

    def close(self) -> None:
        """Let go of the database."""
        self.store.close()


def open_desk(
    data_folder: Path, *, who: str, zone: tzinfo | None = None, database: str = ""
) -> Desk:
    """Open the store in a folder, made and brought up to date where needed, and sit down at it.

    `database` is the address of a PostgreSQL database; where it is empty, the database is a file in
    the folder. Raises InvalidInput and StoreError.
    """
    url = parse_database_url(database) if database else None
    return Desk(store=open_store(data_folder, url), who=who, clock=_now, zone=zone)


def _check_year(day: date) -> None:
    if not MINYEAR < day.year < MAXYEAR:
        raise InvalidInput(f"the date {day} cannot be; correct its year")


def _now() -> datetime:
    return datetime.now(UTC)
