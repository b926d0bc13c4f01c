"""What stands before every page: who may ask, how much may be sent, what a browser may do.

Even on the loopback address a browser carries strangers' pages, which can post forms here and can
point a name of their own at 127.0.0.1. So the Host must be a name that this server goes by, a
request that changes something must come from these pages, and nothing may run that was not served
as a file from here. Who asks, and whether they may, is the matter of `admission`.
"""

from __future__ import annotations

from collections.abc import Mapping

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from couchside.formats.limits import MAX_FILE_BYTES
from couchside.web.admission import SAFE_METHODS
from couchside.web.entrance import THIS_MACHINE, Entrance
from couchside.web.failures import answer_failure

MAX_BODY_BYTES = 64_000_000
MOST_DRAINED_BYTES = 4_000_000_000
"""A browser reads an answer only after it has sent all; what is sent beyond this is cut off."""

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
_TLS_HEADERS = _HEADERS | {"strict-transport-security": "max-age=31536000"}
"""A year in which browsers call this name over TLS alone."""


class Guard:
    """Refuses strangers' requests and oversized bodies, and adds the security headers."""

    def __init__(
        self,
        app: ASGIApp,
        *,
        entrance: Entrance = THIS_MACHINE,
        max_body_bytes: int = MAX_BODY_BYTES,
    ) -> None:
        self.app = app
        self.entrance = entrance
        self.headers = _TLS_HEADERS if entrance.has_tls else _HEADERS
        self.max_body_bytes = max_body_bytes

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or answer it here with one sentence."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        refusal = self._find_refusal(scope, headers)
        if refusal is None and self._announces_too_much(headers):
            await _drain(receive)
            refusal = answer_failure(Request(scope), 413, self._too_large())
        if refusal is not None:
            await refusal(scope, receive, _with_headers(send, self.headers))
            return
        await self.app(scope, self._counted(receive), _with_headers(send, self.headers))

    def _find_refusal(self, scope: Scope, headers: Headers) -> Response | None:
        if not is_host_among(headers.get("host", ""), self.entrance.hosts):
            return _refuse(400, self._wrong_name())
        if self.entrance.is_behind_proxy and scope["scheme"] != "https":
            return _refuse(403, "Couchside answers its proxy alone; open the proxy's address.")
        if scope["method"] not in SAFE_METHODS and comes_from_elsewhere(headers):
            return _refuse(403, "This request came from another site; use Couchside's own pages.")
        return None

    def _wrong_name(self) -> str:
        if self.entrance.is_this_machine_only:
            return "Couchside answers to no such address; open it as http://127.0.0.1 and its port."
        return "Couchside answers to no such name; whoever runs it can add the name with --name."

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


def is_host_among(host: str, allowed: frozenset[str]) -> bool:
    """Whether a Host header gives one of the names allowed, with any port."""
    name, _, port = host.rpartition(":") if _has_port(host) else (host, "", "")
    if port and not port.isdecimal():
        return False
    return name.removeprefix("[").removesuffix("]").lower() in allowed


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


def _with_headers(send: Send, wanted: Mapping[str, str]) -> Send:
    async def with_headers(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in wanted.items():
                headers.setdefault(name, value)
        await send(message)

    return with_headers
