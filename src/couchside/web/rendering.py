"""Templates: everything is escaped, and a name that is not given is an error.

Every form that posts carries the token of the visitor's sign-in by itself: the field is put into
the template as it is loaded, so that no form can be without it.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable
from contextvars import ContextVar
from functools import cache, partial
from pathlib import Path
from typing import cast

from fastapi import Request, Response
from fastapi.responses import HTMLResponse
from jinja2 import Environment, PackageLoader, StrictUndefined
from jinja2.ext import Extension
from markupsafe import Markup

from couchside.exchange.single_sign_on import Provider, SignOnSettings
from couchside.service import Desk
from couchside.version import __version__
from couchside.web.admission import Visitor
from couchside.web.contexts.telling_view import TellingView, list_open_tellings
from couchside.web.moments import find_mark
from couchside.web.translation import get_language, translate, translate_plural

STATIC_FOLDER = Path(__file__).parent / "static"
_POSTING_FORM = re.compile(r"<form\b[^>]*\bmethod=\"post\"[^>]*>")
_form_token: ContextVar[str] = ContextVar("form_token", default="")


def render(request: Request, name: str, *, status: int = 200, **context: object) -> Response:
    """A page from its template."""
    return HTMLResponse(render_text(request, name, **context), status_code=status)


def render_text(request: Request, name: str, **context: object) -> str:
    """A template's text; `request` tells the menu which page is open."""
    template = _get_environment().get_template(name)
    visitor = cast("Visitor | None", getattr(request.state, "visitor", None))
    before = _form_token.set(visitor.form_token if visitor is not None else "")
    try:
        return template.render(
            path=request.url.path,
            mark=find_mark(request),
            visitor=visitor,
            may_record=visitor is not None and visitor.may_record,
            may_choose=visitor is not None and visitor.may_choose,
            entrance=request.app.state.entrance,
            sign_on=_find_sign_on(request),
            open_tellings=_choose_tellings(request, visitor),
            **context,
        )
    finally:
        _form_token.reset(before)


def _find_sign_on(request: Request) -> SignOnSettings | None:
    """Who signs people on, for the pages that lead there."""
    provider = cast("Provider | None", request.app.state.provider)
    return provider.settings if provider is not None else None


def _choose_tellings(
    request: Request, visitor: Visitor | None
) -> Callable[[], tuple[TellingView, ...]]:
    """What stands on top of each page, for those who may see it and are there."""
    if visitor is None or not visitor.may_see_now:
        return tuple
    return partial(list_open_tellings, cast("Desk", request.app.state.desk))


class _FormTokens(Extension):
    """Puts the field with the token behind the opening tag of each form that posts."""

    def preprocess(self, source: str, name: str | None, filename: str | None = None) -> str:  # noqa: ARG002
        """The template with the fields."""
        return _POSTING_FORM.sub(r"\g<0>{{ form_field() }}", source)


def _make_form_field() -> Markup:
    token = _form_token.get()
    return Markup('<input type="hidden" name="form_token" value="{}">').format(token)


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
        trim_blocks=True,
        lstrip_blocks=True,
        extensions=["jinja2.ext.i18n", _FormTokens],
    )
    environment.globals.update(
        form_field=_make_form_field, version=__version__, static=f"/static/{get_static_version()}"
    )
    _install_words(environment)
    return environment


def _install_words(environment: Environment) -> None:
    """Make `_()` and `ngettext()` speak the language of the request, not of the first one."""
    environment.install_gettext_callables(  # type: ignore[attr-defined]
        translate, translate_plural, newstyle=True
    )
    environment.globals["language"] = get_language
