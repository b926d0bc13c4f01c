"""A desk with simulated recordings, and a browser without a window before it."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from functools import cache
from itertools import count
from pathlib import Path

import numpy as np
import pytest
from fastapi.testclient import TestClient

from couchside.formats import ArrivedFile, Parcel
from couchside.recording import Patient, Recording, Sex
from couchside.service import Desk, NewOrder, Received, Source, add_order, open_desk, receive
from couchside.service.accounts import Account, NewAccount, add_account
from couchside.service.passwords import make_form_token
from couchside.service.playing import play
from couchside.service.protocols import PROTOCOL_FILE, get_example_protocol
from couchside.simulate import get_scenario, simulate
from couchside.store.words import Role
from couchside.web import create_app

ADDRESS = "http://127.0.0.1:8377"
PATIENT = Patient(
    identifier="T-1",
    family_name="Quill",
    given_name="Ada",
    birth_date=date(1960, 5, 17),
    sex=Sex.FEMALE,
)


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """An empty desk of one test's own."""
    opened = open_desk(tmp_path / "data", who="Test Person", zone=UTC)
    yield opened
    opened.close()


@pytest.fixture
def client(desk: Desk) -> TestClient:
    """A visitor at this machine; a failure is answered, not raised."""
    return TestClient(
        create_app(desk), base_url=ADDRESS, follow_redirects=False, raise_server_exceptions=False
    )


@pytest.fixture
def people(desk: Desk) -> dict[Role, Account]:
    """An account of each role, without passwords."""
    return {
        role: add_account(
            desk, NewAccount(sign_in_name=role.value, name=f"Test {role.value}", role=role)
        )
        for role in Role
    }


@pytest.fixture
def come_as(desk: Desk, people: dict[Role, Account]) -> Callable[[Role | None], TestClient]:
    """A visitor signed in with a role, or a stranger; all come to the same pages."""
    app = create_app(desk)

    def come_as(role: Role | None) -> TestClient:
        visitor = TestClient(
            app, base_url=ADDRESS, follow_redirects=False, raise_server_exceptions=False
        )
        if role is not None:
            token = play(desk, people[role].id)
            visitor.cookies.set("couchside", token)
            visitor.headers["x-form-token"] = make_form_token(token)
        return visitor

    return come_as


@pytest.fixture
def order_id(desk: Desk) -> int:
    """An order for `PATIENT` on today's round."""
    return add_order(desk, NewOrder(patient=PATIENT, place="Ward 3")).id


@pytest.fixture
def protocol(desk: Desk) -> None:
    """A department's protocol that wants everybody's heart rate told."""
    text = get_example_protocol().replace("at_most = 35", "at_most = 200")
    (desk.data_folder / PROTOCOL_FILE).write_text(text, encoding="utf-8")


@pytest.fixture
def bring(desk: Desk) -> Callable[..., Received]:
    """Hand in a simulated recording, by default of `PATIENT` and without a fault."""

    def bring(
        scenario: str = "good", *, patient: Patient = PATIENT, name: str = "recording.csv"
    ) -> Received:
        content = write_csv(replace(simulated(scenario), patient=patient, start=_next_start(desk)))
        parcel = Parcel(files=(ArrivedFile(name=name, content=content),))
        return receive(desk, parcel, source=Source.UPLOAD)

    return bring


@cache
def simulated(scenario: str) -> Recording:
    """A recording of the simulated round."""
    return simulate(get_scenario(scenario)).recording


@pytest.fixture
def csv_file() -> bytes:
    """A recording of `PATIENT` as a file."""
    return write_csv(replace(simulated("good"), patient=PATIENT))


_COUNT = count()


def _next_start(desk: Desk) -> datetime:
    """Today, and another second each time, so that no two files are alike."""
    return datetime.combine(desk.today(), time(8, tzinfo=UTC)) + timedelta(seconds=next(_COUNT))


def write_csv(recording: Recording) -> bytes:
    """A recording as the CSV that Couchside reads."""
    patient, settings = recording.patient, recording.settings
    stated = {
        "rate_hz": recording.rate_hz,
        "unit": "uV",
        "start": recording.start.isoformat() if recording.start else None,
        "patient_id": patient.identifier,
        "family_name": patient.family_name,
        "given_name": patient.given_name,
        "birth_date": patient.birth_date,
        "sex": None if patient.sex is Sex.NOT_STATED else patient.sex.value,
        "high_pass_hz": settings.high_pass_hz,
        "low_pass_hz": settings.low_pass_hz,
        "notch_hz": settings.notch_hz,
        "resolution_uv": settings.resolution_uv,
    }
    head = "".join(f"# {key}: {value}\n" for key, value in stated.items() if value is not None)
    table = io.StringIO()
    np.savetxt(table, recording.microvolts.T, delimiter=",", fmt="%.1f")
    return f"{head}{','.join(recording.leads)}\n{table.getvalue()}".encode()
