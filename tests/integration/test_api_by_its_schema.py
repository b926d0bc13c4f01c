"""The API holds what its OpenAPI description promises, whatever is asked of it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC
from typing import Any

import pytest
import schemathesis
from fastapi import FastAPI
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis.strategies import SearchStrategy
from schemathesis.core.result import Ok
from schemathesis.schemas import BaseSchema
from schemathesis.specs.openapi.checks import positive_data_acceptance

from couchside.formats import ArrivedFile, Parcel
from couchside.service import Source, open_desk, receive
from couchside.web import create_app
from couchside.web.entrance import Entrance


@pytest.fixture(scope="module")
def app(
    tmp_path_factory: pytest.TempPathFactory, make_csv: Callable[..., bytes]
) -> Iterator[FastAPI]:
    """The pages of a desk with one recording."""
    desk = open_desk(tmp_path_factory.mktemp("api") / "data", who="Test Person", zone=UTC)
    file = ArrivedFile(name="ecg.csv", content=make_csv(patient_id="Q-7"))
    receive(desk, Parcel(files=(file,)), source=Source.UPLOAD)
    yield create_app(desk, entrance=Entrance(hosts=frozenset({"testserver"})))
    desk.close()


@pytest.fixture(scope="module")
def described(app: FastAPI) -> BaseSchema:
    return schemathesis.openapi.from_asgi("/api/openapi.json", app)


def test_every_answer_is_one_that_is_described(described: BaseSchema) -> None:
    """No server error, and no status, content type or content that the description lacks."""
    operations = list(described.get_all_operations())
    assert len(operations) >= 3
    for operation in operations:
        assert isinstance(operation, Ok)
        ask_anything(operation.ok().as_strategy())


def ask_anything(cases: SearchStrategy[schemathesis.Case[Any]]) -> None:
    """Ask each case; a filter may be refused by its recording, which no description can tell."""

    @given(case=cases)
    @settings(
        max_examples=25,
        derandomize=True,
        deadline=None,
        database=None,
        phases=(Phase.generate,),
        suppress_health_check=list(HealthCheck),
    )
    def ask(case: schemathesis.Case[Any]) -> None:
        if is_a_number_of_some_recording(case.path_parameters.get("recording_id")):
            case.path_parameters["recording_id"] = 1
        case.call_and_validate(excluded_checks=[positive_data_acceptance])

    ask()


def is_a_number_of_some_recording(value: Any) -> bool:
    """Every other whole number: those stand for the recording that there is."""
    return isinstance(value, int) and value % 2 == 1
