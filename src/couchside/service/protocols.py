"""The department's protocol file, and what it wants told of a recording."""

from __future__ import annotations

from dataclasses import replace
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING

from couchside.errors import InvalidInput
from couchside.measures.protocol import Protocol, parse_protocol
from couchside.measures.tell_now import TellNow, evaluate
from couchside.quality.model import Assessment
from couchside.recording import Recording
from couchside.service.owned_files import read_owned_file

if TYPE_CHECKING:
    from couchside.service.desk import Desk

PROTOCOL_FILE = "tell-now.toml"
"""Under this name the department's protocol lies in the data folder."""


def load_protocol(path: Path) -> Protocol:
    """Read a protocol file; raises InvalidInput, naming line and field, where it is broken."""
    return parse_protocol(read_owned_file(path, "protocol"), path.name)


def find_department_protocol(data_folder: Path) -> Protocol | None:
    """The protocol in the data folder; None where the department has put none there."""
    path = data_folder / PROTOCOL_FILE
    return load_protocol(path) if path.is_file() else None


def get_example_protocol() -> str:
    """The text of the shipped example, from which a department may start."""
    return (files("couchside.service") / "tell_now_example.toml").read_text(encoding="utf-8")


def judge_by_department(desk: Desk, assessment: Assessment, recording: Recording) -> Assessment:
    """The assessment with what the department's protocol wants told, if it has one.

    A broken protocol keeps nobody from a recording: the sentence that says what is wrong with it
    then stands under what could not be judged.
    """
    try:
        protocol = find_department_protocol(desk.data_folder)
    except InvalidInput as error:
        broken = TellNow(
            protocol_title=PROTOCOL_FILE, is_example=False, items=(), not_judged=(str(error),)
        )
        return replace(assessment, tell_now=broken)
    return assessment if protocol is None else add_tell_now(assessment, recording, protocol)


def add_tell_now(assessment: Assessment, recording: Recording, protocol: Protocol) -> Assessment:
    """The assessment with what the protocol wants told."""
    return replace(assessment, tell_now=evaluate(protocol, recording, assessment.measures))
