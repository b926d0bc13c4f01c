"""Many files over several processes: the same answer as from one, and an end that is an end."""

from __future__ import annotations

import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from multiprocessing import active_children
from pathlib import Path
from threading import Event

import pytest

from couchside.cli import check_many, main
from couchside.cli.check_many import answer_in_order, count_workers
from couchside.cli.check_pool import Submit, open_pool
from couchside.cli.exits import ExitCode
from couchside.formats import write_wfdb
from couchside.quality.policy_reading import get_shipped_text
from couchside.service.protocols import get_example_protocol
from couchside.simulate import get_scenario, simulate

WORKER = """
import os, signal
from functools import partial
from couchside.cli.check_pool import open_pool

with open_pool(1) as submit:
    held = submit(partial(signal.pthread_sigmask, signal.SIG_BLOCK), ())
    threads = submit(os.getenv, "OMP_NUM_THREADS")
    print(*map(int, held.result()), threads.result(), flush=True)
    os.kill(os.getpid(), signal.SIGKILL)
"""


def test_answers_come_in_the_order_of_the_items() -> None:
    second_is_done = Event()

    def work(item: int) -> int:
        if item == 1:
            second_is_done.set()
        assert second_is_done.wait(timeout=60)
        return 10 * item

    with ThreadPoolExecutor(2) as threads:
        assert list(answer_in_order(threads.submit, work, range(5))) == [0, 10, 20, 30, 40]


def test_an_error_comes_where_its_item_stands() -> None:
    with ThreadPoolExecutor(2) as threads:
        answers = answer_in_order(threads.submit, lambda item: 6 // item, (3, 2, 0, 1))
        assert [next(answers), next(answers)] == [2, 3]
        with pytest.raises(ZeroDivisionError):
            next(answers)


def test_no_more_files_are_taken_up_than_may_wait(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(check_many, "MOST_WAITING", 3)
    taken: list[int] = []

    def items() -> Iterator[int]:
        for item in range(10):
            taken.append(item)
            yield item

    with ThreadPoolExecutor(2) as threads:
        answers = answer_in_order(threads.submit, str, items())
        assert next(answers) == "0"
        assert taken == [0, 1, 2]
        assert list(answers) == list("123456789")


@pytest.mark.parametrize(
    ("cores", "files", "workers"), [(8, 99, 1), (8, 100, 2), (8, 5000, 8), (1, 5000, 1)]
)
def test_processes_are_started_for_many_files_alone(
    cores: int, files: int, workers: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(check_many, "_count_cores", lambda: cores)
    assert count_workers(files) == workers


def test_another_process_says_the_same(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    for file in write_wfdb(simulate(get_scenario("left-leg-off")).recording, "off").files:
        (tmp_path / file.name).write_bytes(file.content)
    (tmp_path / "half.dcm").write_bytes(bytes(128) + b"DICM")
    (tmp_path / "notes.csv").write_text("record,label\n1,acceptable\n")
    policy, protocol = tmp_path / "policy.toml", tmp_path / "protocol.toml"
    policy.write_text(get_shipped_text())
    protocol.write_text(get_example_protocol())
    asked = ["check", "--json", "--rate", "250", "--policy", str(policy)]
    asked += ["--protocol", str(protocol), str(tmp_path)]

    alone = main(asked), capsys.readouterr()
    monkeypatch.setattr(check_many, "_open_pool", lambda _: open_pool(1))
    apart = main(asked), capsys.readouterr()

    assert apart == alone
    assert apart[0] == ExitCode.UNREADABLE
    assert "half.dcm" in apart[1].out
    assert apart[1].err.count("so that --rate 250 was not used") == 1


def test_where_it_fails_no_process_is_waited_for() -> None:
    with pytest.raises(KeyboardInterrupt), open_pool(1) as submit:
        _stop_while_one_works(submit)
    assert not active_children()


def _stop_while_one_works(submit: Submit) -> None:
    submit(time.sleep, 3600.0)
    raise KeyboardInterrupt


def test_a_process_has_one_core_and_no_ctrl_c_and_ends_with_whoever_started_it() -> None:
    ended = subprocess.run(
        [sys.executable, "-c", WORKER], capture_output=True, text=True, check=False, timeout=120
    )  # which returns when the last one that holds its output has ended
    assert ended.stdout == "2 1\n"
    assert ended.returncode == -signal.SIGKILL
