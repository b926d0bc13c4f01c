"""The WFDB signal files: bytes to the integers that were stored [WFDB-signal]."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Integers = NDArray[np.signedinteger]


@dataclass(frozen=True, slots=True, kw_only=True)
class StorageFormat:
    """One way in which samples are packed.

    Parameters
    ----------
    missing_value : int
        The stored number that marks a missing sample.
    count_bytes : callable
        Bytes that so many samples take.
    unpack : callable
        Exactly those bytes, and how many samples they hold, to the samples.
    """

    missing_value: int
    count_bytes: Callable[[int], int]
    unpack: Callable[[bytes, int], Integers]


def _as_words(dtype: str) -> Callable[[bytes, int], Integers]:
    def unpack(content: bytes, count: int) -> Integers:
        return np.frombuffer(content, dtype=dtype, count=count)

    return unpack


def _unpack_80(content: bytes, count: int) -> Integers:
    return np.frombuffer(content, dtype=np.uint8, count=count).astype(np.int16) - 128


def _unpack_24(content: bytes, count: int) -> Integers:
    low, middle, high = np.frombuffer(content, dtype=np.uint8).reshape(count, 3).T.astype(np.int64)
    return _sign_extend(low | middle << 8 | high << 16, 24)


def _unpack_212(content: bytes, count: int) -> Integers:
    """Two 12-bit samples in three bytes; a last single one takes two bytes."""
    padded = np.zeros(-(-len(content) // 3) * 3, dtype=np.int64)
    padded[: len(content)] = np.frombuffer(content, dtype=np.uint8)
    low, shared, high = padded.reshape(-1, 3).T
    pairs = np.column_stack([low | (shared & 0x0F) << 8, high | (shared & 0xF0) << 4])
    return _sign_extend(pairs.ravel()[:count], 12)


def _sign_extend(values: Integers, bits: int) -> Integers:
    sign = 1 << (bits - 1)
    return (values ^ sign) - sign


STORAGE_FORMATS = {
    16: StorageFormat(
        missing_value=-(1 << 15), count_bytes=lambda count: 2 * count, unpack=_as_words("<i2")
    ),
    24: StorageFormat(
        missing_value=-(1 << 23), count_bytes=lambda count: 3 * count, unpack=_unpack_24
    ),
    32: StorageFormat(
        missing_value=-(1 << 31), count_bytes=lambda count: 4 * count, unpack=_as_words("<i4")
    ),
    61: StorageFormat(
        missing_value=-(1 << 15), count_bytes=lambda count: 2 * count, unpack=_as_words(">i2")
    ),
    80: StorageFormat(missing_value=-(1 << 7), count_bytes=lambda count: count, unpack=_unpack_80),
    212: StorageFormat(
        missing_value=-(1 << 11),
        count_bytes=lambda count: (3 * count + 1) // 2,
        unpack=_unpack_212,
    ),
}
"""By the number that the header gives them."""


def count_samples(storage: StorageFormat, byte_count: int) -> int:
    """How many whole samples so many bytes hold; for headers that do not say."""
    if storage.count_bytes(2) == 3:  # 212 packs in pairs
        return byte_count // 3 * 2 + (1 if byte_count % 3 == 2 else 0)
    return byte_count // storage.count_bytes(1)


def sum_check(samples: Integers) -> NDArray[np.uint16]:
    """Checksums as the header states them, modulo 2¹⁶, along the last axis."""
    sums: NDArray[np.uint16] = (samples.sum(axis=-1, dtype=np.int64) & 0xFFFF).astype(np.uint16)
    return sums
