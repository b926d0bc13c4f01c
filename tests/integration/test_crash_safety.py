"""A real process is killed at each step; after a restart nothing is lost and nothing doubled."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import func, select
from tests.unit.store.test_migrations import THEN, write_first_version

from couchside.formats import ArrivedFile, Parcel
from couchside.recording import Patient
from couchside.service import (
    DecisionKind,
    Desk,
    NewOrder,
    Outcome,
    RecordingDecision,
    Source,
    State,
    add_order,
    decide,
    list_round,
    open_desk,
    open_recording,
    receive,
    recover,
)
from couchside.service.backing_up import back_up, restore
from couchside.service.trail import check_trail
from couchside.store.engines import make_sqlite_engine
from couchside.store.opening import DATABASE_FILE
from couchside.store.queries.trail import list_audit_entries
from couchside.store.sessions import writing
from couchside.store.tables import (
    AssessmentRow,
    AttemptRow,
    Base,
    DecisionRow,
    ParcelFileRow,
    ParcelRow,
    RecordingRow,
)

CHILD = Path(__file__).with_name("crash_child.py")
DURABLE = "couchside.store.durable"
COMMIT = "sqlalchemy.engine.default:DefaultDialect.do_commit"

# Writing is: the note (1), the first file (2), the second file (3).
BYTES_NOT_YET_SAFE = [
    "couchside.store.begun:BegunArrivals.note:1:before",
    f"{DURABLE}:_write_synced:1:after",
    f"{DURABLE}:_rename:1:after",
    f"{DURABLE}:_write_synced:2:before",
    f"{DURABLE}:_write_synced:2:after",
    f"{DURABLE}:_rename:2:after",
    "couchside.store.vault:Vault.put:1:after",
    f"{DURABLE}:_write_synced:3:after",
]
# Commits of the child are: opening the store (1), looking whether it is here (2), filing (3).
BYTES_SAFE = [
    f"{DURABLE}:_rename:3:after",
    "couchside.store.vault:Vault.put:2:after",
    "couchside.service.receiving:derive:1:before",
    "couchside.service.receiving:derive:1:after",
    "couchside.service.filing:_get_or_make_parcel:1:after",
    "couchside.service.filing:add_assessment:1:after",
    "couchside.service.filing:add_attempt:1:after",
    f"{COMMIT}:3:before",
]
FILED = [
    f"{COMMIT}:3:after",
    "couchside.store.begun:BegunArrivals.strike:1:before",
    "couchside.store.begun:BegunArrivals.strike:1:after",
]


RunUntilKilled = Callable[..., None]


@pytest.fixture(scope="module")
def run_until_killed() -> Iterator[RunUntilKilled]:
    """Runs an action in a process of its own, and holds it to being killed."""
    one_thread = os.environ | {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}
    with subprocess.Popen(
        [sys.executable, str(CHILD)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        env=one_thread,
    ) as parent:
        assert parent.stdin is not None
        assert parent.stdout is not None
        requests, answers = parent.stdin, parent.stdout

        def run(data_folder: Path, fatal_call: str, action: str, *files: Path) -> None:
            wanted = [str(data_folder), fatal_call, action, *map(str, files)]
            print(json.dumps(wanted), file=requests, flush=True)
            assert int(answers.readline()) == -signal.SIGKILL

        yield run


@pytest.fixture(scope="module")
def files(
    tmp_path_factory: pytest.TempPathFactory, make_csv: Callable[..., bytes]
) -> tuple[Path, ...]:
    """A parcel of two files."""
    folder = tmp_path_factory.mktemp("files")
    (folder / "ecg.csv").write_bytes(make_csv(patient_id="Q-7", accession_number="A-1"))
    (folder / "notes.txt").write_bytes(b"taken in the corridor")
    return (folder / "ecg.csv", folder / "notes.txt")


@pytest.fixture(scope="module")
def ordered(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A store with one order, to be copied."""
    folder = tmp_path_factory.mktemp("ordered")
    with sit_down(folder) as desk:
        patient = Patient(identifier="Q-7", family_name="Fernhollow")
        add_order(desk, NewOrder(patient=patient, accession="A-1"))
    return folder


@pytest.fixture
def data_folder(ordered: Path, tmp_path: Path) -> Path:
    """A store with one order."""
    return Path(shutil.copytree(ordered, tmp_path / "data"))


@contextmanager
def sit_down(folder: Path) -> Iterator[Desk]:
    desk = open_desk(folder, who="Robin")
    try:
        yield desk
    finally:
        desk.close()


def load_parcel(files: tuple[Path, ...]) -> Parcel:
    return Parcel(
        files=tuple(ArrivedFile(name=path.name, content=path.read_bytes()) for path in files)
    )


def assert_filed_exactly_once(desk: Desk) -> None:
    with desk.store.reading() as session:
        for table, expected in {
            ParcelRow: 1,
            ParcelFileRow: 2,
            RecordingRow: 1,
            AssessmentRow: 1,
            AttemptRow: 1,
        }.items():
            assert session.scalar(select(func.count()).select_from(table)) == expected, table
        deeds = [entry.what for entry in list_audit_entries(session)]
        assert session.connection().exec_driver_sql("PRAGMA integrity_check").scalar() == "ok"
    assert deeds.count("received") == deeds.count("filed under an order") == 1
    assert list(desk.store.begun.list_noted()) == []
    assert list(desk.store.vault.list_unsound()) == []
    (entry,) = list_round(desk).entries
    assert (entry.state, entry.attempt_count) == (State.TO_DECIDE, 1)


def assert_nothing_filed(desk: Desk) -> None:
    with desk.store.reading() as session:
        assert session.scalar(select(func.count()).select_from(ParcelRow)) == 0
    listed = list_round(desk)
    assert (listed.unmatched, listed.problems) == ((), ())
    assert listed.entries[0].state is State.WAITING


@pytest.mark.parametrize("fatal_call", BYTES_NOT_YET_SAFE)
def test_what_was_cut_off_before_its_bytes_were_safe_is_filed_when_sent_again(
    run_until_killed: RunUntilKilled,
    data_folder: Path,
    files: tuple[Path, ...],
    fatal_call: str,
) -> None:
    run_until_killed(data_folder, fatal_call, "receive", *files)
    with sit_down(data_folder) as desk:
        assert recover(desk) == ()
        assert_nothing_filed(desk)
        assert receive(desk, load_parcel(files), source=Source.UPLOAD).outcome is Outcome.FILED
        assert_filed_exactly_once(desk)


@pytest.mark.parametrize("fatal_call", BYTES_SAFE)
def test_what_was_cut_off_once_its_bytes_were_safe_is_filed_at_the_next_start(
    run_until_killed: RunUntilKilled,
    data_folder: Path,
    files: tuple[Path, ...],
    fatal_call: str,
) -> None:
    run_until_killed(data_folder, fatal_call, "receive", *files)
    with sit_down(data_folder) as desk:
        assert_nothing_filed(desk)
        (received,) = recover(desk)
        assert received.outcome is Outcome.FILED
        assert received.recording is not None
        assert received.recording.received_by == "the one who fell"
        assert_filed_exactly_once(desk)
        assert recover(desk) == ()
        again = receive(desk, load_parcel(files), source=Source.UPLOAD)
        assert again.outcome is Outcome.ALREADY_HERE
        assert_filed_exactly_once(desk)
        opened = open_recording(desk, received.recording.id)
        assert opened.recording.sample_count == 5000


@pytest.mark.parametrize("fatal_call", FILED)
def test_what_was_filed_stays_filed_once(
    run_until_killed: RunUntilKilled,
    data_folder: Path,
    files: tuple[Path, ...],
    fatal_call: str,
) -> None:
    run_until_killed(data_folder, fatal_call, "receive", *files)
    with sit_down(data_folder) as desk:
        assert all(received.outcome is Outcome.ALREADY_HERE for received in recover(desk))
        assert_filed_exactly_once(desk)


@pytest.mark.parametrize("fatal_call", BYTES_SAFE[:1] + FILED[:1])
def test_sending_again_without_a_recovery_doubles_nothing_either(
    run_until_killed: RunUntilKilled,
    data_folder: Path,
    files: tuple[Path, ...],
    fatal_call: str,
) -> None:
    run_until_killed(data_folder, fatal_call, "receive", *files)
    with sit_down(data_folder) as desk:
        receive(desk, load_parcel(files), source=Source.UPLOAD)
        assert_filed_exactly_once(desk)
        assert recover(desk) == ()


@pytest.mark.parametrize(
    ("fatal_call", "standing"),
    [
        ("couchside.service.deciding:_add:1:before", 0),
        ("couchside.service.deciding:write_trail:1:after", 0),
        (f"{COMMIT}:2:before", 0),
        (f"{COMMIT}:2:after", 1),
    ],
)
def test_a_decision_is_made_with_its_entry_or_not_at_all(
    run_until_killed: RunUntilKilled,
    data_folder: Path,
    files: tuple[Path, ...],
    fatal_call: str,
    standing: int,
) -> None:
    with sit_down(data_folder) as desk:
        receive(desk, load_parcel(files), source=Source.UPLOAD)
    run_until_killed(data_folder, fatal_call, "decide")
    with sit_down(data_folder) as desk:
        with desk.store.reading() as session:
            decisions = session.scalars(select(DecisionRow)).all()
            entries = [each for each in list_audit_entries(session) if each.what == "decided"]
        assert len(decisions) == len(entries) == standing
        state = list_round(desk).entries[0].state
        assert state is (State.KEPT if standing else State.TO_DECIDE)
        wish = RecordingDecision(recording_id=1, kind=DecisionKind.KEEP, seen_number=standing)
        assert decide(desk, wish).number == standing + 1


@pytest.mark.parametrize(
    "fatal_call",
    [
        "alembic.ddl.impl:DefaultImpl.create_table:1:after",
        "alembic.ddl.impl:DefaultImpl.create_table:7:after",
        f"{COMMIT}:1:before",
        f"{COMMIT}:1:after",
    ],
)
def test_a_migration_cut_off_is_made_at_the_next_start(
    run_until_killed: RunUntilKilled, tmp_path: Path, fatal_call: str
) -> None:
    run_until_killed(tmp_path / "data", fatal_call, "open")
    with sit_down(tmp_path / "data") as desk:
        with desk.store.engine.connect() as connection:
            context = MigrationContext.configure(connection)
            assert compare_metadata(context, Base.metadata) == []
        assert list_round(desk).entries == ()


@pytest.mark.parametrize(
    "fatal_call",
    [
        "alembic.ddl.impl:DefaultImpl.add_column:2:after",
        "alembic.ddl.impl:DefaultImpl.drop_table:1:after",
        "alembic.ddl.impl:DefaultImpl.rename_table:1:after",
        f"{COMMIT}:1:before",
    ],
)
def test_an_update_cut_off_loses_nothing_of_the_version_before(
    run_until_killed: RunUntilKilled, tmp_path: Path, fatal_call: str
) -> None:
    """The trail is copied into a table with room for its chain: half-way, there is none."""
    (tmp_path / "data").mkdir()
    engine = make_sqlite_engine(tmp_path / "data" / DATABASE_FILE)
    with writing(engine) as session:
        write_first_version(session)
    engine.dispose()
    run_until_killed(tmp_path / "data", fatal_call, "open")
    with sit_down(tmp_path / "data") as desk:
        (entry,) = list_round(desk, THEN.date()).entries
        assert entry.order.patient.family_name == "Übermut"
        checked = check_trail(desk)
        assert (checked.count, checked.broken) == (3, None)


@pytest.fixture
def filed(data_folder: Path, files: tuple[Path, ...]) -> Path:
    """A store in which a parcel is filed."""
    with sit_down(data_folder) as desk:
        receive(desk, load_parcel(files), source=Source.UPLOAD)
    return data_folder


@pytest.mark.parametrize(
    ("fatal_call", "standing"),
    [
        ("couchside.store.archive_file:ArchiveWriter.add:1:after", 0),
        ("couchside.store.archive_file:verify_archive:1:before", 0),
        ("couchside.store.archive_file:_put_under_name:1:before", 0),
        ("couchside.store.archive_file:_put_under_name:1:after", 1),
    ],
)
def test_a_backup_cut_off_is_whole_or_not_there(
    run_until_killed: RunUntilKilled,
    filed: Path,
    tmp_path: Path,
    fatal_call: str,
    standing: int,
) -> None:
    archive = tmp_path / "backup.zip"
    run_until_killed(filed, fatal_call, "back up", archive)
    assert archive.exists() == bool(standing)
    with sit_down(filed) as desk:
        assert_filed_exactly_once(desk)
        if not standing:
            back_up(desk, archive)
    restore(archive, tmp_path / "restored")
    with sit_down(tmp_path / "restored") as desk:
        assert_filed_exactly_once(desk)


@pytest.mark.parametrize(
    ("fatal_call", "standing"),
    [
        ("couchside.store.vault:Vault.put:1:after", 0),
        ("couchside.service.backing_up:load_rows:3:after", 0),
        (f"{COMMIT}:1:before", 0),
        (f"{COMMIT}:1:after", 0),
        ("couchside.service.backing_up:sync_folder:1:before", 1),
    ],
)
def test_a_restore_cut_off_is_whole_or_not_there(
    run_until_killed: RunUntilKilled,
    filed: Path,
    tmp_path: Path,
    fatal_call: str,
    standing: int,
) -> None:
    archive, restored = tmp_path / "backup.zip", tmp_path / "restored"
    with sit_down(filed) as desk:
        back_up(desk, archive)
    run_until_killed(restored, fatal_call, "restore", archive)
    assert restored.exists() == bool(standing)
    if not standing:
        restore(archive, restored)
    with sit_down(restored) as desk:
        assert_filed_exactly_once(desk)
