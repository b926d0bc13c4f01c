"""The round, its people's recordings, who works at it, and the server."""

from __future__ import annotations

import asyncio
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, replace
from datetime import UTC, date, timedelta
from pathlib import Path

from couchside.formats import write_dicom
from couchside.recording import OrderReference, Patient, Sex
from couchside.service import Desk, NewOrder, add_order, open_desk
from couchside.service.accounts import NewAccount, add_account
from couchside.service.playing import play
from couchside.simulate import Scenario, random_scenario, simulate, with_random_fault
from couchside.store.words import Role

PLACES = ("Outpatients", "Ward 3", "Ward 5", "Day surgery")
_CLOCK_TICKS = os.sysconf("SC_CLK_TCK")


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """How many people are to be recorded, how often, by how many, in what time."""

    people: int
    arrivals: int
    at_work: int
    seconds: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Prepared:
    """A folder with a round in it, files that are to arrive, and the tokens of who is at work."""

    data: Path
    inbox: Path
    files: tuple[Path, ...]
    tokens: tuple[str, ...]
    plan: Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Server:
    """A running `couchside serve`."""

    process: subprocess.Popen[str]
    address: str

    def count_cpu_s(self) -> float:
        """Processor time until now [Linux, proc(5): utime and stime]."""
        stat = Path(f"/proc/{self.process.pid}/stat").read_text(encoding="ascii")
        fields = stat.rpartition(")")[2].split()
        return (int(fields[11]) + int(fields[12])) / _CLOCK_TICKS


def prepare(folder: Path, plan: Plan) -> Prepared:
    """Orders for everybody, an account for each at work, and the files of all arrivals."""
    data, inbox, waiting = folder / "data", folder / "inbox", folder / "waiting"
    for each in (inbox, waiting):
        each.mkdir(parents=True)
    with closing(open_desk(data, who="benchmark", zone=UTC)) as desk:
        tokens = tuple(_admit(desk, number) for number in range(plan.at_work))
        for number in range(plan.people):
            add_order(desk, _make_order(number))
        files = tuple(_write_file(desk, waiting, number, plan) for number in range(plan.arrivals))
    return Prepared(data=data, inbox=inbox, files=files, tokens=tokens, plan=plan)


@contextmanager
def serve_folder(prepared: Prepared) -> Iterator[Server]:
    """The command as a department runs it, in a process of its own."""
    command = [sys.executable, "-m", "couchside", "serve", "--port", "0"]
    command += ["--data", str(prepared.data), "--inbox", str(prepared.inbox)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        try:
            yield Server(process=process, address=_read_address(process))
        finally:
            process.terminate()


async def put_arrivals(prepared: Prepared) -> None:
    """Put the files into the watched folder, evenly over the time but its last tenth."""
    pause_s = 0.9 * prepared.plan.seconds / len(prepared.files)
    for file in prepared.files:
        file.rename(prepared.inbox / file.name)
        await asyncio.sleep(pause_s)


def _read_address(process: subprocess.Popen[str]) -> str:
    for line in process.stdout or ():
        found = re.search(r"http://\S+?:\d+", line)
        if found:
            return found.group()
    raise RuntimeError("couchside serve ended before it could be opened")


def _admit(desk: Desk, number: int) -> str:
    new = NewAccount(
        sign_in_name=f"recorder{number}", name=f"Recorder {number}", role=Role.RECORDER
    )
    return play(desk, add_account(desk, new).id)


def _make_patient(number: int) -> Patient:
    return Patient(
        identifier=f"L-{number:04d}",
        family_name=f"Simulated{number:02d}",
        given_name="Person",
        birth_date=date(1940 + number, 3, 4),
        sex=Sex.FEMALE if number % 2 else Sex.MALE,
    )


def _make_order(number: int) -> NewOrder:
    return NewOrder(
        patient=_make_patient(number), accession=_name_order(number), place=PLACES[number % 4]
    )


def _name_order(number: int) -> str:
    return f"LD-{number:04d}"


def _write_file(desk: Desk, folder: Path, number: int, plan: Plan) -> Path:
    """Everybody once, then again from the first; every third recording has a fault."""
    person = number % plan.people
    scenario = random_scenario(number)
    if number % 3 == 1:
        scenario = with_random_fault(scenario)
    path = folder / f"arrival-{number:03d}.dcm"
    path.write_bytes(write_dicom(simulate(_address(desk, scenario, person, number)).recording))
    return path


def _address(desk: Desk, scenario: Scenario, person: int, number: int) -> Scenario:
    return replace(
        scenario,
        patient=_make_patient(person),
        order=OrderReference(accession_number=_name_order(person)),
        start=desk.now() + timedelta(seconds=number),
        duration_s=10.0,
    )
