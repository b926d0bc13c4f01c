"""Processes that work on many files at once."""

from __future__ import annotations

import copyreg
import os
import signal
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from contextlib import contextmanager
from multiprocessing import active_children, get_context, parent_process
from threading import Thread
from types import MappingProxyType
from typing import Any, Protocol, TypeVar

Item = TypeVar("Item")
Answer = TypeVar("Answer")

ENVIRONMENT = {
    **dict.fromkeys(("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"), "1"),
    "PYTHONWARNINGS": os.environ.get("PYTHONWARNINGS", "ignore"),
}
"""Each process has one core, on which threads of its own would take turns; and Python's warnings
are for developers, who may ask for them."""


class Submit(Protocol):
    """Hands out work on one item."""

    def __call__(self, work: Callable[[Item], Answer], item: Item, /) -> Future[Answer]:
        """What it will give."""


@contextmanager
def open_pool(worker_count: int) -> Iterator[Submit]:
    """Start processes that end with the block; at once, whatever they are at, where it fails.

    Ctrl-C reaches this process alone, so that the others end in silence; and they end with it
    where it is killed.
    """
    with _as_workers_start():
        pool = ProcessPoolExecutor(
            worker_count, mp_context=get_context("spawn"), initializer=_end_with_parent
        )

    def submit(work: Callable[[Item], Answer], item: Item, /) -> Future[Answer]:
        with _as_workers_start():  # one starts where there is work and none is idle
            return pool.submit(work, item)

    try:
        yield submit
    except BaseException:
        for child in active_children():
            child.terminate()
        raise
    finally:
        pool.shutdown(cancel_futures=True)


def _end_with_parent() -> None:
    """A process that waits for work does not notice that whoever gives it was killed."""
    parent = parent_process()

    def watch() -> None:
        if parent is not None:
            parent.join()
            os._exit(1)

    Thread(target=watch, daemon=True).start()


@contextmanager
def _as_workers_start() -> Iterator[None]:
    """What a process inherits: the environment, and that Ctrl-C is held back."""
    before = {name: os.environ.get(name) for name in ENVIRONMENT}
    os.environ.update(ENVIRONMENT)
    try:
        with _ctrl_c_held_back():
            yield
    finally:
        for name, value in before.items():
            if value is None:
                del os.environ[name]
            else:
                os.environ[name] = value


@contextmanager
def _ctrl_c_held_back() -> Iterator[None]:
    """What comes meanwhile is delivered afterwards."""
    if not hasattr(signal, "pthread_sigmask"):  # Windows, where each process says that it stopped
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


ReadOnly = MappingProxyType[Any, Any]


def _take_apart(mapping: ReadOnly) -> tuple[Callable[[dict[Any, Any]], ReadOnly], tuple[Any]]:
    return _make_read_only, (dict(mapping),)


def _make_read_only(mapping: dict[Any, Any]) -> ReadOnly:
    return MappingProxyType(mapping)


copyreg.pickle(MappingProxyType, _take_apart)
"""Read-only mappings, such as a policy's bounds, travel as what they are made of."""
