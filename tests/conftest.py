"""What every test may ask for."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest
from tests import postgresql

from couchside.recording import STANDARD_LEADS, leads_from_potentials


@pytest.fixture(scope="session")
def open_data() -> Path:
    """Folder of the unpacked open recordings; the test skips, and says so, where there is none."""
    folder = os.environ.get("COUCHSIDE_DATA")
    if not folder:
        pytest.skip("COUCHSIDE_DATA is not set: the open recordings are not on this machine")
    path = Path(folder)
    if not path.is_dir():
        pytest.skip(f"COUCHSIDE_DATA names {path.name}, which is not a folder")
    return path


@pytest.fixture(scope="session")
def postgresql_server() -> Iterator[postgresql.Server]:
    """A PostgreSQL server of this session's own."""
    programs = postgresql.find_programs()
    if programs is None:
        pytest.skip("Debian's postgresql is not installed: make peers")
    with postgresql.start_server(programs) as server:
        yield server


@pytest.fixture(scope="session")
def make_csv() -> Callable[..., bytes]:
    """Makes a 12-lead CSV recording of 10 s at 500 Hz; keyword arguments become its statements.

    Another `seed` gives other samples. Every beat is one smooth bump, alike in all leads.
    """

    def make(*, seed: int = 1, **statements: str) -> bytes:
        times_s = np.arange(5000) / 500.0
        beats = np.exp(-(((times_s % 0.8 - 0.4) / 0.02) ** 2))
        heights_uv = np.array([-300, 200, 700, 0, -400, 100, 500, 900, 1000, 800])
        noise = np.random.default_rng(seed).normal(0.0, 2.0, (10, times_s.size))
        microvolts = leads_from_potentials(heights_uv[:, None] * beats + noise)
        stated = {"rate_hz": "500", "unit": "uV", **statements}
        lines = [f"# {key}: {value}" for key, value in stated.items()]
        lines.append(",".join(STANDARD_LEADS))
        lines += [",".join(f"{value:.2f}" for value in row) for row in microvolts.T]
        return "\n".join(lines).encode()

    return make
