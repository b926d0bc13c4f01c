"""Which files a command line means."""

from __future__ import annotations

from pathlib import Path

import pytest

from couchside.cli.find_recordings import Found, find_recordings

TABLE = "I,II\n1,2\n3,4\n"
HEADER = "{name} 2 500 10\n{name}.dat 16 200 16 0 0 0 0 I\n{name}.dat 16 200 16 0 0 0 0 II\n"
SCP = b"\x00\x00" + (100).to_bytes(4, "little") + b"\x00\x00\x00\x00" + bytes(90)


def names(found: Found, folder: Path) -> list[str]:
    return [str(file.path.relative_to(folder)) for file in found.files]


def put(folder: Path, **contents: str | bytes) -> None:
    for name, content in contents.items():
        path = folder / name.replace("__", ".")
        path.write_bytes(content.encode() if isinstance(content, str) else content)


def test_named_files_are_taken_as_they_are_and_once(tmp_path: Path) -> None:
    put(tmp_path, a__txt="prose", b__csv=TABLE)
    a, b, missing = tmp_path / "a.txt", tmp_path / "b.csv", tmp_path / "missing"
    found = find_recordings([b, a, missing, b])
    assert [file.path for file in found.files] == [b, a, missing]
    assert all(file.must_be_recording for file in found.files)
    assert found.passed_over_count == 0


def test_a_named_file_stays_named_when_its_folder_is_named_too(tmp_path: Path) -> None:
    put(tmp_path, b__csv=TABLE)
    (file,) = find_recordings([tmp_path / "b.csv", tmp_path]).files
    assert file.must_be_recording


def test_a_wfdb_record_counts_once_with_its_parts(tmp_path: Path) -> None:
    put(tmp_path, r__hea=HEADER.format(name="r"), r__dat=bytes(40), r__atr=b"\x00\x00")
    found = find_recordings([tmp_path])
    assert names(found, tmp_path) == ["r.hea"]
    assert found.passed_over_count == 1


def test_segments_are_parts_of_the_record_that_lists_them(tmp_path: Path) -> None:
    put(
        tmp_path,
        whole__hea="whole/2 2 500 20\none 10\ntwo 10\n",
        one__hea=HEADER.format(name="one"),
        one__dat=bytes(40),
        two__hea=HEADER.format(name="two"),
        two__dat=bytes(40),
    )
    found = find_recordings([tmp_path])
    assert names(found, tmp_path) == ["whole.hea"]
    assert found.passed_over_count == 0


def test_a_header_cannot_claim_a_file_of_another_folder(tmp_path: Path) -> None:
    (tmp_path / "deep").mkdir()
    put(tmp_path, b__csv=TABLE)
    put(tmp_path / "deep", r__hea="r 1 500 10\n../b.csv 16 200 16 0 0 0 0 I\n")
    assert names(find_recordings([tmp_path]), tmp_path) == ["b.csv", "deep/r.hea"]


@pytest.mark.parametrize("name", [".", "..", "/", "/etc/hosts", "\x00"])
def test_a_header_that_names_no_file_claims_none(tmp_path: Path, name: str) -> None:
    put(tmp_path, b__csv=TABLE, r__hea=f"r 1 500 10\n{name} 16 200 16 0 0 0 0 I\n")
    assert names(find_recordings([tmp_path]), tmp_path) == ["b.csv", "r.hea"]


@pytest.mark.parametrize("name", ["empty.dcm", "CUT.DCM", "torn.hea"])
def test_a_name_that_promises_a_recording_is_held_to_it(tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_bytes(b"")
    (file,) = find_recordings([tmp_path]).files
    assert file.must_be_recording


@pytest.mark.parametrize("name", ["script.py", "table.md"])
def test_what_only_looks_like_a_table_is_passed_over(tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_text(TABLE)
    assert find_recordings([tmp_path]) == Found(files=(), passed_over_count=1)


@pytest.mark.parametrize(
    "text",
    [
        "i\tboundaries on lead i\nii\tboundaries on lead ii\n",
        "I, the undersigned, agree\nto this, that and more\n",
        "1,2\n3,4\n",
        "time,note\n10:30,arrived\n",
        "I,II\n",
    ],
)
@pytest.mark.parametrize("name", ["ANNOTATORS", "a.txt"])
def test_a_text_that_is_a_table_by_a_stretch_is_passed_over(
    tmp_path: Path, name: str, text: str
) -> None:
    (tmp_path / name).write_text(text)
    assert find_recordings([tmp_path]) == Found(files=(), passed_over_count=1)


@pytest.mark.parametrize("text", [TABLE, "# rate_hz: 500\nI;II\n1,5;2,5\n"])
@pytest.mark.parametrize("name", ["ecg", "ecg.txt"])
def test_a_table_of_leads_is_found_under_any_name_that_a_text_has(
    tmp_path: Path, name: str, text: str
) -> None:
    (tmp_path / name).write_text(text)
    assert names(find_recordings([tmp_path]), tmp_path) == [name]


def test_an_ecg_in_a_format_that_is_not_read_is_not_passed_over(tmp_path: Path) -> None:
    put(tmp_path, a__scp=SCP)
    assert names(find_recordings([tmp_path]), tmp_path) == ["a.scp"]


def test_hidden_files_and_folders_are_left_alone(tmp_path: Path) -> None:
    (tmp_path / ".git").mkdir()
    put(tmp_path / ".git", b__csv=TABLE)
    put(tmp_path, __b__csv=TABLE)
    assert find_recordings([tmp_path]) == Found(files=())


def test_links_that_go_round_in_circles_do_no_harm(tmp_path: Path) -> None:
    put(tmp_path, b__csv=TABLE)
    (tmp_path / "again").symlink_to(tmp_path, target_is_directory=True)
    (tmp_path / "self").symlink_to(tmp_path / "self")
    (tmp_path / "lost.csv").symlink_to(tmp_path / "nowhere")
    assert names(find_recordings([tmp_path]), tmp_path) == ["b.csv"]


def test_numbers_are_sorted_as_numbers(tmp_path: Path) -> None:
    put(tmp_path, r10__csv=TABLE, r9__csv=TABLE, a__csv=TABLE, r9b__csv=TABLE)
    found = find_recordings([tmp_path])
    assert names(found, tmp_path) == ["a.csv", "r9.csv", "r9b.csv", "r10.csv"]
