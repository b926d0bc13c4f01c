"""WFDB storage formats, against bytes laid out by hand after the description of signal(5).

[WFDB-signal] Format 212: the first of a pair is the low byte and the low nibble of the second
byte, the second the high nibble of the second byte and the third byte, both twos complement.
"""

from __future__ import annotations

import numpy as np
import pytest

from couchside.formats.wfdb_signals import STORAGE_FORMATS


@pytest.mark.parametrize(
    ("number", "content", "samples"),
    [
        (16, b"\x01\x00\xff\xff\x00\x80", [1, -1, -32768]),
        (61, b"\x00\x01\xff\xff\x80\x00", [1, -1, -32768]),
        (24, b"\x01\x00\x00\xff\xff\xff\x00\x00\x80", [1, -1, -8388608]),
        (32, b"\x01\x00\x00\x00\xff\xff\xff\xff\x00\x00\x00\x80", [1, -1, -2147483648]),
        (80, b"\x81\x7f\x00", [1, -1, -128]),
        (212, b"\x01\xf0\xff", [1, -1]),
        (212, b"\x23\x41\x56\xff\x0f", [0x123, 0x456, -1]),
        (212, b"\x00\x88\x00", [-2048, -2048]),
    ],
)
def test_bytes_are_these_samples(number: int, content: bytes, samples: list[int]) -> None:
    storage = STORAGE_FORMATS[number]
    assert storage.count_bytes(len(samples)) == len(content)
    np.testing.assert_array_equal(storage.unpack(content, len(samples)), samples)


@pytest.mark.parametrize(
    ("number", "missing"),
    [(16, -32768), (61, -32768), (24, -8388608), (32, -2147483648), (80, -128), (212, -2048)],
)
def test_the_least_number_marks_a_missing_sample(number: int, missing: int) -> None:
    assert STORAGE_FORMATS[number].missing_value == missing
