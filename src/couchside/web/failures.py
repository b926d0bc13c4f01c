"""What goes wrong, as a page or as JSON with one clear sentence."""

from __future__ import annotations

import logging
from urllib.parse import urlencode

from fastapi import FastAPI, Request, Response
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, RedirectResponse
from starlette.exceptions import HTTPException

from couchside.errors import (
    Conflict,
    CouchsideError,
    FormatError,
    InvalidInput,
    NotAllowed,
    NotFound,
    ProtocolError,
)
from couchside.service.signing_in import TooManyTries
from couchside.web.admission import SAFE_METHODS, Locked, NotSignedIn
from couchside.web.rendering import render
from couchside.web.translation import N_, translate
from couchside.web.translation import gettext as _
from couchside.web.wording import sentence_case

_STATUS: tuple[tuple[type[CouchsideError], int], ...] = (
    (NotFound, 404),
    (Conflict, 409),
    (TooManyTries, 429),
    (NotAllowed, 403),
    (InvalidInput, 422),
    (FormatError, 422),
    (ProtocolError, 502),
)
_SENTENCES = {
    400: N_("The request could not be understood; go back and try again."),
    404: N_("There is no such page; choose a person from the round."),
    405: N_("This address cannot be used in that way; go back to the round."),
}
_HEADINGS = {
    403: N_("This is not allowed"),
    404: N_("Nothing is here"),
    405: N_("That way is closed"),
    409: N_("Somebody else was quicker"),
    413: N_("That is too much at once"),
    422: N_("Something is missing or does not fit"),
    429: N_("Too many tries"),
    500: N_("Couchside made a mistake"),
    502: N_("Another machine did not answer as it should"),
}
_LOAD_AGAIN = {"HX-Refresh": "true"}
_log = logging.getLogger("couchside.web")


def add_failure_pages(app: FastAPI) -> None:
    """Answer every failure with one sentence."""
    app.add_exception_handler(CouchsideError, answer_error)
    app.add_exception_handler(HTTPException, _answer_http)
    app.add_exception_handler(RequestValidationError, _answer_validation)
    app.add_exception_handler(Exception, _answer_unforeseen)


def answer_failure(request: Request, status: int, sentence: str) -> Response:
    """One sentence under its heading, or as JSON for a program."""
    whole = translate(sentence_case(sentence.rstrip(".")) + ".")
    if request.url.path.startswith("/api/"):
        return JSONResponse({"sentence": whole}, status_code=status)
    heading = translate(_HEADINGS.get(status, N_("That did not work")))
    return render(
        request, "failure.html", status=status, code=status, heading=heading, sentence=whole
    )


def answer_error(request: Request, error: Exception) -> Response:
    """What was raised on purpose, answered with its sentence."""
    if isinstance(error, (NotSignedIn, Locked)):
        return _send_to_the_door(request, error)
    status = next((code for kind, code in _STATUS if isinstance(error, kind)), 500)
    return answer_failure(request, status, str(error))


def _send_to_the_door(request: Request, error: NotSignedIn | Locked) -> Response:
    """To where one signs in or unlocks, and back from there; a program is told by the status."""
    is_locked = isinstance(error, Locked)
    if request.url.path.startswith("/api/"):
        return answer_failure(request, 423 if is_locked else 401, str(error))
    if request.headers.get("hx-request") == "true":
        # The cover lies over a locked page; loading it again would lose what was half written.
        return (
            Response(status_code=423)
            if is_locked
            else Response(status_code=204, headers=_LOAD_AGAIN)
        )
    door = "/locked" if is_locked else "/sign-in"
    if request.method not in SAFE_METHODS:
        return RedirectResponse(door, status_code=303)
    back = request.url.path + (f"?{request.url.query}" if request.url.query else "")
    return RedirectResponse(f"{door}?{urlencode({'back': back})}", status_code=303)


def _answer_http(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)  # noqa: S101 (registered for this kind alone)
    sentence = _SENTENCES.get(error.status_code, error.detail)
    response = answer_failure(request, error.status_code, sentence)
    response.headers.update(error.headers or {})
    return response


def _answer_validation(request: Request, error: Exception) -> Response:
    assert isinstance(error, RequestValidationError)  # noqa: S101 (registered for this kind alone)
    first = error.errors()[0]
    if first["loc"][0] == "path":
        return answer_failure(request, 404, _SENTENCES[404])
    field = str(first["loc"][-1]).replace("_", " ")
    return answer_failure(
        request,
        422,
        _("“%(field)s” could not be used: %(why)s.", field=field, why=first["msg"].lower()),
    )


def _answer_unforeseen(request: Request, error: Exception) -> Response:
    _log.error("unforeseen failure at %s", request.url.path, exc_info=error)
    return answer_failure(
        request,
        500,
        N_("Nothing was lost; go back, try again, and tell whoever keeps Couchside here."),
    )
