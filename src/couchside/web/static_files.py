"""Files that are served as they are; their address changes when they do, so browsers keep them."""

from __future__ import annotations

from os import stat_result
from pathlib import Path

from starlette.responses import Response
from starlette.staticfiles import StaticFiles
from starlette.types import Scope

_KEEP = "public, max-age=31536000, immutable"


class KeptStaticFiles(StaticFiles):
    """Static files that a browser need ask for only once."""

    def file_response(
        self,
        full_path: str | Path,  # type: ignore[override]
        stat_result: stat_result,
        scope: Scope,
        status_code: int = 200,
    ) -> Response:
        """The file, to be kept for a year."""
        response = super().file_response(full_path, stat_result, scope, status_code)
        response.headers["cache-control"] = _KEEP
        return response
