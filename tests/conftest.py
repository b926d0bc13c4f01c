"""What every test may ask for."""

from __future__ import annotations

import os
from pathlib import Path

import pytest


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
