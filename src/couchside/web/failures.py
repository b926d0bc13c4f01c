"""What goes wrong, as a page or as JSON with one clear sentence."""

from __future__ import annotations

import logging

from fastapi import FastAPI, Request, Response
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from starlette.exceptions import HTTPException

from couchside.errors import (
    Conflict,
    CouchsideError,
    FormatError,
    InvalidInput,
    NotAllowed,
    NotFound,
)
from couchside.web.rendering import render
from couchside.web.wording import sentence_case

_STATUS: tuple[tuple[type[CouchsideError], int], ...] = (
    (NotFound, 404),
    (Conflict, 409),
    (NotAllowed, 403),
    (InvalidInput, 422),
    (FormatError, 422),
)
_SENTENCES = {
    400: "The request could not be understood; go back and try again.",
    404: "There is no such page; choose a person from the round.",
    405: "This address cannot be used in that way; go back to the round.",
}
_HEADINGS = {
    403: "This is not allowed",
    404: "Nothing is here",
    405: "That way is closed",
    409: "Somebody else was quicker",
    413: "That is too much at once",
    422: "Something is missing or does not fit",
    500: "Couchside made a mistake",
}
_log = logging.getLogger("couchside.web")


def add_failure_pages(app: FastAPI) -> None:
    """Answer every failure with one sentence."""
    app.add_exception_handler(CouchsideError, _answer_couchside)
    app.add_exception_handler(HTTPException, _answer_http)
    app.add_exception_handler(RequestValidationError, _answer_validation)
    app.add_exception_handler(Exception, _answer_unforeseen)


def answer_failure(request: Request, status: int, sentence: str) -> Response:
    """One sentence under its heading, or as JSON for a program."""
    whole = sentence_case(sentence.rstrip(".")) + "."
    if request.url.path.startswith("/api/"):
        return JSONResponse({"sentence": whole}, status_code=status)
    heading = _HEADINGS.get(status, "That did not work")
    return render(
        request, "failure.html", status=status, code=status, heading=heading, sentence=whole
    )


def _answer_couchside(request: Request, error: Exception) -> Response:
    status = next((code for kind, code in _STATUS if isinstance(error, kind)), 500)
    return answer_failure(request, status, str(error))


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
    return answer_failure(request, 422, f"“{field}” could not be used: {first['msg'].lower()}.")


def _answer_unforeseen(request: Request, error: Exception) -> Response:
    _log.error("unforeseen failure at %s", request.url.path, exc_info=error)
    return answer_failure(
        request, 500, "Nothing was lost; go back, try again, and tell whoever keeps Couchside here."
    )
