"""A process of its own that kills itself in the middle of a use case.

Usage: ``crash_child.py DATA_FOLDER FATAL_CALL ACTION [FILE…]``. FATAL_CALL is
``module:function:number:before`` or ``…:after``: at the call of that number of that function, the
process sends itself SIGKILL, before the call or after it. Nothing of this is in the product.
"""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Callable
from functools import wraps
from importlib import import_module
from pathlib import Path

from couchside.formats import ArrivedFile, Parcel
from couchside.service import DecisionKind, RecordingDecision, Source, decide, open_desk, receive


def main() -> None:
    data_folder, fatal_call, action, *files = sys.argv[1:]
    arm(*fatal_call.split(":"))
    desk = open_desk(Path(data_folder), who="the one who fell")
    if action == "receive":
        arrived = (
            ArrivedFile(name=Path(file).name, content=Path(file).read_bytes()) for file in files
        )
        receive(desk, Parcel(files=tuple(arrived)), source=Source.UPLOAD)
    if action == "decide":
        decide(desk, RecordingDecision(recording_id=1, kind=DecisionKind.KEEP, seen_number=0))
    desk.close()


def arm(module: str, name: str, number: str, moment: str) -> None:
    owner: object = import_module(module)
    *path, last = name.split(".")
    for step in path:
        owner = getattr(owner, step)
    setattr(owner, last, make_fatal(getattr(owner, last), int(number), moment))


def make_fatal(function: Callable[..., object], number: int, moment: str) -> Callable[..., object]:
    calls = 0

    @wraps(function)
    def fatal(*arguments: object, **named: object) -> object:
        nonlocal calls
        calls += 1
        if calls == number and moment == "before":
            os.kill(os.getpid(), signal.SIGKILL)
        result = function(*arguments, **named)
        if calls == number and moment == "after":
            os.kill(os.getpid(), signal.SIGKILL)
        return result

    return fatal


if __name__ == "__main__":
    main()
