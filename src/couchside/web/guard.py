"""What stands before every page: who may ask, how much may be sent, what a browser may do.

Even on the loopback address a browser carries strangers' pages, which can post forms here and can
point a name of their own at 127.0.0.1. So the Host must be a loopback name, a request that changes
something must come from these pages, and nothing may run that was not served as a file from here.
"""

from __future__ import annotations

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from couchside.formats.limits import MAX_FILE_BYTES
from couchside.web.failures import answer_failure

LOOPBACK_HOSTS = frozenset({"127.0.0.1", "localhost", "::1"})
MAX_BODY_BYTES = 64_000_000
MOST_DRAINED_BYTES = 4_000_000_000
"""A browser reads an answer only after it has sent all; what is sent beyond this is cut off."""

SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})

_MAY = {
    "default-src": "'none'",
    "script-src": "'self'",
    "style-src": "'self'",
    "img-src": "'self'",
    "connect-src": "'self'",
    "form-action": "'self'",
    "base-uri": "'none'",
    "frame-ancestors": "'none'",
}
CONTENT_SECURITY_POLICY = "; ".join(f"{what} {whence}" for what, whence in _MAY.items())
DRAWING_POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; font-src data:"
"""For an SVG that stands alone: it brings its own style and can run nothing."""

_HEADERS = {
    "content-security-policy": CONTENT_SECURITY_POLICY,
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), microphone=(), geolocation=(), payment=(), usb=()",
    "cache-control": "no-store",
}


class Guard:
    """Refuses strangers' requests and oversized bodies, and adds the security headers."""

    def __init__(self, app: ASGIApp, *, max_body_bytes: int = MAX_BODY_BYTES) -> None:
        self.app = app
        self.max_body_bytes = max_body_bytes

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or answer it here with one sentence."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        refusal = self._find_refusal(scope["method"], headers)
        if refusal is None and self._announces_too_much(headers):
            await _drain(receive)
            refusal = answer_failure(Request(scope), 413, self._too_large())
        if refusal is not None:
            await refusal(scope, receive, _with_headers(send))
            return
        await self.app(scope, self._counted(receive), _with_headers(send))

    def _find_refusal(self, method: str, headers: Headers) -> Response | None:
        if not is_loopback_host(headers.get("host", "")):
            return _refuse(
                400,
                "Couchside answers to no such address; open it as http://127.0.0.1 and its port.",
            )
        if method not in SAFE_METHODS and comes_from_elsewhere(headers):
            return _refuse(403, "This request came from another site; use Couchside's own pages.")
        return None

    def _announces_too_much(self, headers: Headers) -> bool:
        length = headers.get("content-length", "")
        return length.isdecimal() and int(length) > self.max_body_bytes

    def _counted(self, receive: Receive) -> Receive:
        taken = 0

        async def counted() -> Message:
            nonlocal taken
            message = await receive()
            taken += len(message.get("body", b""))
            if taken > self.max_body_bytes:
                raise HTTPException(413, self._too_large())
            return message

        return counted

    def _too_large(self) -> str:
        return (
            f"More than {self.max_body_bytes // 10**6} MB was sent at once; go back and hand in "
            f"fewer files, or put one recording of up to {MAX_FILE_BYTES // 10**6} MB into the "
            "watched folder."
        )


async def _drain(receive: Receive) -> None:
    taken, is_more = 0, True
    while is_more and taken < MOST_DRAINED_BYTES:
        message = await receive()
        taken += len(message.get("body", b""))
        is_more = message.get("more_body", False)


def is_loopback_host(host: str) -> bool:
    """Whether a Host header names this machine's loopback, on any port."""
    name, _, port = host.rpartition(":") if _has_port(host) else (host, "", "")
    if port and not port.isdecimal():
        return False
    return name.removeprefix("[").removesuffix("]").lower() in LOOPBACK_HOSTS


def comes_from_elsewhere(headers: Headers) -> bool:
    """Whether a browser says that another site's page sent this.

    A browser always names the origin of a posted form; a program that is no browser names none,
    and cannot be tricked by a page.
    """
    if headers.get("sec-fetch-site", "same-origin") not in {"same-origin", "none"}:
        return True
    origin = headers.get("origin")
    return origin is not None and origin.partition("://")[2] != headers.get("host", "")


def _has_port(host: str) -> bool:
    return ":" in host.rpartition("]")[2]


def _refuse(status: int, sentence: str) -> PlainTextResponse:
    return PlainTextResponse(sentence, status_code=status)


def _with_headers(send: Send) -> Send:
    async def with_headers(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in _HEADERS.items():
                headers.setdefault(name, value)
        await send(message)

    return with_headers
