"""What `couchside check` has loaded when it has answered: each costs a start."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from couchside.formats.wfdb_write import write_wfdb
from couchside.simulate import get_scenario, simulate

HEAVY = {
    "rich.progress",
    "scipy",
    "sqlalchemy",
    "alembic",
    "reportlab",
    "fastapi",
    "pydantic",
    "numpy.ma",
    "multiprocessing",
    "couchside.serial",
}
CHECK = """
import sys
from couchside.cli import main
main(["check", sys.argv[1]])
print(*sys.modules, file=sys.stderr)
"""


def test_the_check_starts_and_answers_without_what_it_does_not_need(tmp_path: Path) -> None:
    for file in write_wfdb(simulate(get_scenario("good")).recording, "good").files:
        (tmp_path / file.name).write_bytes(file.content)
    ended = subprocess.run(
        [sys.executable, "-c", CHECK, str(tmp_path / "good.hea")], capture_output=True, check=True
    )
    assert "keep" in ended.stdout.decode().casefold()
    loaded = set(ended.stderr.decode().split())
    assert "couchside.quality.check" in loaded
    assert not HEAVY & loaded
