"""What `couchside check` loads before it reads: any of these would cost more than the check."""

from __future__ import annotations

import subprocess
import sys

HEAVY = {"rich.progress", "scipy", "sqlalchemy", "alembic", "reportlab", "fastapi", "numpy.ma"}


def test_the_check_starts_without_what_it_does_not_need() -> None:
    command = "import sys, couchside.cli.check_command; print(*sys.modules)"
    ended = subprocess.run([sys.executable, "-c", command], capture_output=True, check=True)
    loaded = set(ended.stdout.decode().split())
    assert "couchside.quality.check" in loaded
    assert not HEAVY & loaded
