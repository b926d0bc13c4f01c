"""The answers as JSON by `docs/schema/check.schema.json`."""

from __future__ import annotations

import json

from couchside.cli.examine import NotRead, Outcome
from couchside.service.assessment_json import (
    Document,
    assessment_to_json,
    collection_to_json,
    unreadable_to_json,
)
from couchside.service.json_values import JsonObject


def print_one(outcome: Outcome) -> None:
    """Print one file's answer."""
    _print(make_document(outcome))


class JsonAnswer:
    """Several files' answers in one object."""

    def __init__(self) -> None:
        self._read: list[JsonObject] = []
        self._unread: list[JsonObject] = []

    def add(self, document: JsonObject) -> None:
        """Keep one file's answer."""
        is_read = document["document"] != Document.UNREADABLE.value
        (self._read if is_read else self._unread).append(document)

    def finish(self, passed_over_count: int) -> None:
        """Print them all."""
        _print(collection_to_json(self._read, self._unread, passed_over_count=passed_over_count))


def make_document(outcome: Outcome) -> JsonObject:
    """What the JSON says of one file."""
    path = str(outcome.file.path)
    if isinstance(outcome, NotRead):
        return unreadable_to_json(outcome.error, path=path)
    return assessment_to_json(outcome.recording, outcome.assessment, path=path)


def _print(document: JsonObject) -> None:
    print(json.dumps(document, indent=2, allow_nan=False))  # noqa: T201 - the command's answer
