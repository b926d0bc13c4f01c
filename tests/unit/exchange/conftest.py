from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from couchside.service import Desk, open_desk


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    opened = open_desk(tmp_path / "data", who="watched folder")
    yield opened
    opened.close()


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    made = tmp_path / "inbox"
    made.mkdir()
    return made


@pytest.fixture
def ecg(make_csv: Callable[..., bytes]) -> bytes:
    return make_csv(patient_id="Q-7", family_name="Fernhollow")
