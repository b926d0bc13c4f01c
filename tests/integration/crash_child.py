"""A process whose children kill themselves in the middle of a use case.

It imports everything once and stays single-threaded; for each line of JSON on stdin it forks a
child that does what the line says, and prints how that child ended. A line is
``[DATA_FOLDER, FATAL_CALL, ACTION, FILE…]``. FATAL_CALL is ``module:function:number:before`` or
``…:after``: at the call of that number of that function, the child sends itself SIGKILL, before the
call or after it. Nothing of this is in the product.
"""

from __future__ import annotations

import json
import os
import signal
import sys
import traceback
from collections.abc import Callable
from functools import wraps
from importlib import import_module
from pathlib import Path

from couchside.formats import ArrivedFile, Parcel
from couchside.service import DecisionKind, RecordingDecision, Source, decide, open_desk, receive
from couchside.service.backing_up import back_up, restore


def main() -> None:
    for line in sys.stdin:
        child = os.fork()
        if child == 0:
            fall(*json.loads(line))
        _, status = os.waitpid(child, 0)
        print(os.waitstatus_to_exitcode(status), flush=True)  # noqa: T201 - the answer


def fall(data_folder: str, fatal_call: str, action: str, *files: str) -> None:
    """Be killed on the way; whoever comes through, or stumbles, ends otherwise."""
    try:
        arm(*fatal_call.split(":"))
        act(Path(data_folder), action, *map(Path, files))
    except BaseException:  # noqa: BLE001 - a forked child must never return into its parent's loop
        traceback.print_exc()
        os._exit(1)
    os._exit(0)


def act(data_folder: Path, action: str, *files: Path) -> None:
    if action == "restore":
        restore(files[0], data_folder)
        return
    desk = open_desk(data_folder, who="the one who fell")
    if action == "receive":
        arrived = (ArrivedFile(name=file.name, content=file.read_bytes()) for file in files)
        receive(desk, Parcel(files=tuple(arrived)), source=Source.UPLOAD)
    if action == "decide":
        decide(desk, RecordingDecision(recording_id=1, kind=DecisionKind.KEEP, seen_number=0))
    if action == "back up":
        back_up(desk, files[0])
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
