"""`couchside serve` and `couchside demo`: the pages."""

from __future__ import annotations

import os
import signal
import sys
import tempfile
import webbrowser
from collections.abc import Iterator
from contextlib import closing, contextmanager
from functools import partial
from pathlib import Path

from platformdirs import user_cache_path

from couchside.cli.data_folder import get_data_folder, get_person
from couchside.cli.exits import ExitCode
from couchside.errors import InvalidInput
from couchside.exchange.single_sign_on import load_sign_on
from couchside.service import Desk, open_desk, prepare_demo
from couchside.service.inviting import invite_first
from couchside.service.playing import prepare_cast
from couchside.store.folder_lock import hold_folder
from couchside.web.entrance import ServeWish, make_entrance
from couchside.web.server import check_port, serve


def run_serve(*, data: Path | None, database: str, wish: ServeWish, inbox: Path | None) -> ExitCode:
    """Serve the department's own data until Ctrl-C."""
    make_entrance(wish)
    if inbox is not None and not inbox.is_dir():
        raise InvalidInput(f"there is no folder {inbox} to watch; make it first, or name another")
    folder = _make_folder(get_data_folder(data))
    sign_on = load_sign_on(folder)
    with hold_folder(folder), closing(_open_desk(folder, database)) as desk:
        _tell(f"Data in {folder}.")
        code = invite_first(desk)
        with _ends_by_ctrl_c():
            when_ready = partial(_tell_where, wish, code)
            serve(desk, wish, inbox=inbox, sign_on=sign_on, when_ready=when_ready)
    return ExitCode.DONE


def run_demo(*, data: Path | None, port: int, opens_browser: bool) -> ExitCode:
    """Serve a round of simulated patients until Ctrl-C; its data goes with it unless kept."""
    check_port(port)
    when_ready = _tell_address_and_open if opens_browser else _tell_address
    with (
        _demo_folder(data) as folder,
        hold_folder(folder),
        closing(open_desk(folder, who="demo")) as desk,
    ):
        _tell("Preparing a round of simulated patients in an invented clinic …")
        prepare_cast(desk)
        prepare_demo(desk)
        with _ends_by_ctrl_c():
            serve(desk, ServeWish(port=port), is_demo=True, when_ready=when_ready)
    return ExitCode.DONE


def _open_desk(folder: Path, database: str) -> Desk:
    return open_desk(folder, who=get_person(), database=database)


@contextmanager
def _demo_folder(data: Path | None) -> Iterator[Path]:
    if data is not None:
        yield _make_folder(data)
        return
    cache = _make_folder(user_cache_path("couchside"))
    with tempfile.TemporaryDirectory(prefix="demo-", dir=cache) as fresh:
        yield Path(fresh)


def _make_folder(folder: Path) -> Path:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InvalidInput(
            f"{folder} cannot hold the data ({error.strerror}); name another folder with --data"
        ) from error
    return folder


@contextmanager
def _ends_by_ctrl_c() -> Iterator[None]:
    """Ctrl-C, or being told to terminate, is how serving ends well."""
    before = signal.signal(signal.SIGTERM, signal.default_int_handler)
    try:
        yield
    except KeyboardInterrupt:
        _tell("Stopped.")
    finally:
        signal.signal(signal.SIGTERM, before)


def _tell_where(wish: ServeWish, code: str | None, address: str) -> None:
    if make_entrance(wish).is_this_machine_only:
        _tell_address(address)
    else:
        _tell(f"Couchside is at {address}. Ctrl-C stops it.")
    if code is not None:
        _tell(
            "Nobody has an account yet. Make the first administrator's within an hour, once, at "
            f"{address}/link/{code}"
        )


def _tell_address(address: str) -> None:
    _tell(f"Couchside is at {address} – on this machine only. Ctrl-C stops it.")


def _tell_address_and_open(address: str) -> None:
    _tell_address(address)
    if _has_screen():
        webbrowser.open(address)


def _has_screen() -> bool:
    """Whether a browser would open a window, and not take over this terminal."""
    if sys.platform in {"win32", "darwin"} or os.environ.get("BROWSER"):
        return True
    return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))


def _tell(sentence: str) -> None:
    print(sentence, flush=True)  # noqa: T201 - the command's answer
