"""Templates: everything is escaped, and a name that is not given is an error."""

from __future__ import annotations

import hashlib
from functools import cache, partial
from pathlib import Path
from typing import cast

from fastapi import Request, Response
from fastapi.responses import HTMLResponse
from jinja2 import Environment, PackageLoader, StrictUndefined

from couchside.service import Desk
from couchside.version import __version__
from couchside.web.contexts.telling_view import list_open_tellings
from couchside.web.translation import get_language, translate, translate_plural

STATIC_FOLDER = Path(__file__).parent / "static"


def render(request: Request, name: str, *, status: int = 200, **context: object) -> Response:
    """A page from its template."""
    return HTMLResponse(render_text(request, name, **context), status_code=status)


def render_text(request: Request, name: str, **context: object) -> str:
    """A template's text; `request` tells the menu which page is open."""
    template = _get_environment().get_template(name)
    desk = cast("Desk", request.app.state.desk)
    return template.render(
        path=request.url.path, open_tellings=partial(list_open_tellings, desk), **context
    )


@cache
def get_static_version() -> str:
    """A digest of the files that are served as they are, so that a browser may keep them."""
    digest = hashlib.sha256(__version__.encode())
    for path in sorted(STATIC_FOLDER.rglob("*")):
        if path.is_file():
            digest.update(path.read_bytes())
    return digest.hexdigest()[:12]


@cache
def _get_environment() -> Environment:
    environment = Environment(
        loader=PackageLoader("couchside.web"),
        autoescape=True,
        undefined=StrictUndefined,
        extensions=["jinja2.ext.i18n"],
        trim_blocks=True,
        lstrip_blocks=True,
    )
    _install_words(environment)
    environment.globals.update(version=__version__, static=f"/static/{get_static_version()}")
    return environment


def _install_words(environment: Environment) -> None:
    """Make `_()` and `ngettext()` speak the language of the request, not of the first one."""
    environment.install_gettext_callables(  # type: ignore[attr-defined]
        translate, translate_plural, newstyle=True
    )
    environment.globals["language"] = get_language
