"""Large blocks that were freed are kept and used again."""

from __future__ import annotations

import platform
import sys

import numpy as np
import pytest

from couchside.waves.memory import keep_freed_memory

resource = pytest.importorskip("resource", reason="page faults are counted on Unix")

BLOCK_BYTES, TIMES = 2**20, 200


@pytest.mark.skipif(
    sys.platform != "linux" or platform.libc_ver()[0] != "glibc",
    reason="other allocators keep what they like",
)
def test_a_block_that_was_freed_is_not_fetched_page_by_page_again() -> None:
    keep_freed_memory()
    pages = BLOCK_BYTES // resource.getpagesize()
    before = resource.getrusage(resource.RUSAGE_SELF).ru_minflt
    for _ in range(TIMES):
        np.empty(BLOCK_BYTES, dtype=np.uint8)[:] = 1
    fetched = resource.getrusage(resource.RUSAGE_SELF).ru_minflt - before
    assert fetched < 0.1 * pages * TIMES
