"""The protocol file of a department, and the shipped example."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from couchside.errors import InvalidInput
from couchside.measures.protocol import parse_protocol
from couchside.service.owned_files import MAX_BYTES
from couchside.service.protocols import (
    PROTOCOL_FILE,
    find_department_protocol,
    get_example_protocol,
    load_protocol,
)


def test_shipped_example_is_whole_and_says_that_it_is_one() -> None:
    protocol = parse_protocol(get_example_protocol(), "example")

    assert protocol.is_example
    assert protocol.rules
    assert all(rule.source.startswith("example: ") for rule in protocol.rules)


def test_department_owns_a_file_in_its_data_folder(tmp_path: Path) -> None:
    assert find_department_protocol(tmp_path) is None

    text = get_example_protocol().replace('"Example protocol"', '"Ours"')
    (tmp_path / PROTOCOL_FILE).write_text(text, encoding="utf-8")

    protocol = find_department_protocol(tmp_path)
    assert protocol is not None
    assert protocol.title == "Ours"


def test_byte_order_mark_of_an_editor_does_no_harm(tmp_path: Path) -> None:
    path = tmp_path / "ours.toml"
    path.write_bytes(b"\xef\xbb\xbf" + get_example_protocol().encode())

    assert load_protocol(path).rules


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"\xff\xfe\x00", "not UTF-8"),
        (b"#" * (MAX_BYTES + 1), "more than 1 MB"),
        (b"title = ", "not valid TOML"),
    ],
)
def test_what_is_no_protocol_is_refused(content: bytes, told: str, tmp_path: Path) -> None:
    path = tmp_path / "ours.toml"
    path.write_bytes(content)

    with pytest.raises(InvalidInput, match=told):
        load_protocol(path)


def test_missing_file_is_named(tmp_path: Path) -> None:
    with pytest.raises(InvalidInput, match=r"none\.toml cannot be read"):
        load_protocol(tmp_path / "none.toml")


def test_example_is_toml_that_any_reader_takes() -> None:
    assert len(tomllib.loads(get_example_protocol())["rule"]) >= 4
