"""Memory that one recording has used is kept for the next.

A check makes some hundred arrays of half a megabyte each. The allocator of the GNU C library gives
such blocks back to the system as soon as they are free, and takes them anew page by page, each set
to zero first: a tenth of the time of a check. How much it keeps it learns from the largest block
that was ever freed [Mallopt].
"""

from __future__ import annotations

from functools import cache

import numpy as np

_LEARNT_BYTES = 16 * 2**20
"""Twice as much is kept; the block itself is never written to, and so takes no memory."""


@cache
def keep_freed_memory() -> None:
    """Have this process keep what a recording needs, once; other allocators take no notice."""
    np.empty(_LEARNT_BYTES, dtype=np.uint8)
