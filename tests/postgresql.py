"""Debian's PostgreSQL, started for the tests on a free port of the loopback address."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from itertools import count
from pathlib import Path

from couchside.store import open_store
from couchside.store.engines import make_postgresql_engine, parse_database_url

SETTINGS = "-c fsync=off -c synchronous_commit=off -c full_page_writes=off -c shared_buffers=16MB"
USER = "couchside"
TEMPLATE = "couchside_template"
ROOT = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Server:
    """A running server; every database that it hands out is new and has today's tables."""

    port: int
    numbers: Iterator[int] = field(default_factory=count)

    def name(self, database: str) -> str:
        """The address of a database."""
        return f"postgresql://{USER}@127.0.0.1:{self.port}/{database}"

    def make_database(self) -> str:
        """The address of a new database with all tables and no rows."""
        return self.make(f"test_{next(self.numbers)}", f"TEMPLATE {TEMPLATE}")

    def make_empty_database(self) -> str:
        """The address of a new database without a table."""
        return self.make(f"empty_{next(self.numbers)}")

    def make(self, database: str, like: str = "") -> str:
        """The address of a new database of that name."""
        engine = make_postgresql_engine(parse_database_url(self.name("postgres")))
        with engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
            connection.exec_driver_sql(f"CREATE DATABASE {database} {like}")
        engine.dispose()
        return self.name(database)


def find_programs() -> Path | None:
    """The folder of Debian's newest PostgreSQL, None where there is none."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda p: p.parts[-3])
    return found[-1].parent if found else None


@contextmanager
def start_server(programs: Path) -> Iterator[Server]:
    """A server with its data in a new folder, stopped and gone at the end."""
    with tempfile.TemporaryDirectory(prefix="couchside-postgresql-") as folder:
        data = _make_data_folder(Path(folder))
        make: list[str | Path] = [programs / "initdb", "-D", data, "-U", USER, "-A", "trust", "-N"]
        _run([*make, "-E", "UTF8"], folder)
        port = _find_free_port()
        options = f"{SETTINGS} -p {port} -c listen_addresses=127.0.0.1"
        control: list[str | Path] = [programs / "pg_ctl", "-D", data, "-s", "-w"]
        _run([*control, "-l", data / "log", "-o", f"{options} -k {data}", "start"], folder)
        try:
            server = Server(port=port)
            server.make(TEMPLATE)
            url = parse_database_url(server.name(TEMPLATE))
            open_store(Path(folder) / "template", url).close()
            yield server
        finally:
            _run([*control, "-m", "immediate", "stop"], folder)


def _make_data_folder(folder: Path) -> Path:
    """PostgreSQL refuses to run as root: the folder goes to Debian's own user for it."""
    data = folder / "server"
    data.mkdir(mode=0o700)
    if os.getuid() == ROOT:
        folder.chmod(0o755)
        shutil.chown(data, "postgres", "postgres")
    return data


def _run(command: Sequence[str | Path], folder: str) -> None:
    user = "postgres" if os.getuid() == ROOT else None
    subprocess.run(command, check=True, user=user, cwd=folder, stdout=subprocess.DEVNULL)


def _find_free_port() -> int:
    with socket.create_server(("127.0.0.1", 0)) as listener:
        port: int = listener.getsockname()[1]
    return port
