from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta, timezone
from pathlib import Path

import pytest

from couchside.formats import ArrivedFile, Parcel
from couchside.recording import Patient, Sex
from couchside.service.desk import Desk
from couchside.service.ordering import NewOrder, add_order
from couchside.service.receiving import Received, receive
from couchside.service.summaries import OrderSummary
from couchside.store import Store, open_store
from couchside.store.engines import parse_database_url
from couchside.store.queries.trail import list_audit_entries
from couchside.store.words import Source

CLINIC_ZONE = timezone(timedelta(hours=2))
MORNING = datetime(2026, 3, 2, 8, 0, tzinfo=CLINIC_ZONE)
PATIENT = Patient(
    identifier="Q-7",
    family_name="Fernhollow",
    given_name="Ines",
    birth_date=date(1961, 5, 17),
    sex=Sex.FEMALE,
)


@dataclass
class Clock:
    """Stands at a moment; every look moves it on by a second."""

    moment: datetime = field(default=MORNING)

    def __call__(self) -> datetime:
        self.moment += timedelta(seconds=1)
        return self.moment


@pytest.fixture
def clock() -> Clock:
    return Clock()


ON_BOTH_DATABASES = {
    "test_accounts",
    "test_amending",
    "test_deciding",
    "test_matching",
    "test_pulses",
    "test_readiness",
    "test_trail",
    "test_written_words",
}
"""Modules whose tests are run on PostgreSQL as well: two people at once, and who did what."""


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """Run each test that uses the store on SQLite, and those of some modules on both."""
    if "database_kind" in metafunc.fixturenames:
        is_on_both = metafunc.module.__name__.rpartition(".")[2] in ON_BOTH_DATABASES
        kinds = ["sqlite", "postgresql"] if is_on_both else ["sqlite"]
        metafunc.parametrize("database_kind", kinds)


@pytest.fixture
def store(request: pytest.FixtureRequest, tmp_path: Path, database_kind: str) -> Iterator[Store]:
    url = None
    if database_kind == "postgresql":
        server = request.getfixturevalue("postgresql_server")
        url = parse_database_url(server.make_database())
    opened = open_store(tmp_path / "data", url)
    yield opened
    opened.close()


@pytest.fixture
def desk(store: Store, clock: Clock) -> Desk:
    return Desk(store=store, who="Robin", clock=clock, zone=CLINIC_ZONE)


@pytest.fixture
def make_parcel(make_csv: Callable[..., bytes]) -> Callable[..., Parcel]:
    """Makes a recording of PATIENT, started today; None as a statement leaves it out."""

    def make(*, name: str = "ecg.csv", seed: int = 1, **statements: str | None) -> Parcel:
        stated = {
            "patient_id": PATIENT.identifier,
            "family_name": PATIENT.family_name,
            "given_name": PATIENT.given_name,
            "birth_date": "1961-05-17",
            "sex": "female",
            "start": "2026-03-02T08:05:00",
            **statements,
        }
        kept = {key: value for key, value in stated.items() if value is not None}
        return Parcel(files=(ArrivedFile(name=name, content=make_csv(seed=seed, **kept)),))

    return make


@pytest.fixture
def drop(desk: Desk, make_parcel: Callable[..., Parcel]) -> Callable[..., Received]:
    """Receives what `make_parcel` makes."""
    return lambda **statements: receive(desk, make_parcel(**statements), source=Source.UPLOAD)


@pytest.fixture
def order(desk: Desk) -> OrderSummary:
    return add_order(desk, NewOrder(patient=PATIENT, accession="A-1"))


@pytest.fixture
def deeds(desk: Desk) -> Callable[[], list[tuple[str, str, str]]]:
    """Who did what to which kind of thing, as the audit trail has it."""

    def read() -> list[tuple[str, str, str]]:
        with desk.store.reading() as session:
            entries = list_audit_entries(session)
            assert all(entry.at.tzinfo is UTC for entry in entries)
            return [(entry.who, entry.what, entry.subject_kind) for entry in entries]

    return read


@pytest.fixture
def patient() -> Patient:
    return PATIENT
