"""A folder into which recorders or people drop recordings."""

from __future__ import annotations

from pathlib import Path
from types import TracebackType
from typing import Self

from couchside.service.desk import Desk


class FolderWatch:
    """A thread that takes what is dropped into a folder, from `start` until `stop`.

    Also a context manager. What was read moves to ``taken/``, what was not to ``not-taken/``
    with a ``.why.txt`` beside it.
    """

    def __init__(self, desk: Desk, folder: Path) -> None:
        raise NotImplementedError

    def start(self) -> None:
        """Begin to watch; what already lies there is taken first."""
        raise NotImplementedError

    def stop(self) -> None:
        """Finish the file in hand and end."""
        raise NotImplementedError

    def __enter__(self) -> Self:
        self.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.stop()
