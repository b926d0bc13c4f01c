"""A small OpenID provider on the loopback address, with keys of its own and ways to cheat.

It signs with `cryptography` alone, so that what Couchside checks is not made by what checks it.
"""

from __future__ import annotations

import base64
import hashlib
import json
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any
from urllib.parse import parse_qs, unquote, urlencode, urlsplit

from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec, padding, rsa
from cryptography.hazmat.primitives.asymmetric.utils import decode_dss_signature

CLIENT, SECRET = "couchside", "s/e:c ret"
Claims = dict[str, object]


class SigningKey:
    """A key pair with a name."""

    def __init__(self, name: str, algorithm: str) -> None:
        self.name, self.algorithm = name, algorithm
        self._rsa = rsa.generate_private_key(65537, 2048) if algorithm == "RS256" else None
        self._ec = ec.generate_private_key(ec.SECP256R1()) if algorithm == "ES256" else None

    def publish(self) -> Claims:
        stated: Claims = {"kid": self.name, "use": "sig", "alg": self.algorithm}
        if self._rsa is not None:
            numbers = self._rsa.public_key().public_numbers()
            return stated | {"kty": "RSA", "n": encode_number(numbers.n), "e": "AQAB"}
        assert self._ec is not None
        point = self._ec.public_key().public_numbers()
        x, y = encode(point.x.to_bytes(32, "big")), encode(point.y.to_bytes(32, "big"))
        return stated | {"kty": "EC", "crv": "P-256", "x": x, "y": y}

    def sign(self, content: bytes) -> bytes:
        if self._rsa is not None:
            return self._rsa.sign(content, padding.PKCS1v15(), hashes.SHA256())
        assert self._ec is not None
        r, s = decode_dss_signature(self._ec.sign(content, ec.ECDSA(hashes.SHA256())))
        return r.to_bytes(32, "big") + s.to_bytes(32, "big")


@dataclass
class IdentityProvider:
    """One that signs everybody on as `person`; the rest says in what it cheats."""

    issuer: str = ""
    key: SigningKey = field(default_factory=lambda: SigningKey("first", "RS256"))
    published: list[SigningKey] = field(default_factory=list)
    person: Claims = field(
        default_factory=lambda: {
            "sub": "7f3",
            "name": "Ada Quill",
            "preferred_username": "ada",
            "email": "ada@hospital.example",
            "groups": ["ecg-recorders"],
        }
    )
    said: Claims = field(default_factory=dict)
    description: Claims = field(default_factory=dict)
    header: Claims = field(default_factory=dict)
    make_token: Callable[[Claims], str] | None = None
    questions: list[dict[str, str]] = field(default_factory=list)
    codes: dict[str, dict[str, str]] = field(default_factory=dict)
    asked: list[str] = field(default_factory=list)

    def authorize(self, address: str) -> str:
        """What a browser does there: signs in, and is sent back to the address given here."""
        question = {name: values[0] for name, values in parse_qs(urlsplit(address).query).items()}
        assert (question["response_type"], question["client_id"]) == ("code", CLIENT)
        assert question["code_challenge_method"] == "S256"
        code = f"code-{len(self.questions)}"
        self.questions.append(question)
        self.codes[code] = question
        answer = {"code": code, "state": question["state"], "iss": self.issuer}
        return f"{question['redirect_uri']}?{urlencode(answer)}"

    def describe(self) -> Claims:
        return {
            "issuer": self.issuer,
            "authorization_endpoint": f"{self.issuer}/authorize",
            "token_endpoint": f"{self.issuer}/token",
            "jwks_uri": f"{self.issuer}/keys",
            "end_session_endpoint": f"{self.issuer}/end",
            "authorization_response_iss_parameter_supported": True,
        } | self.description

    def turn_in(self, form: dict[str, str], authorization: str) -> tuple[int, Claims]:
        """A code for a token, once, to whoever asked [RFC6749 4.1.3, RFC7636 4.6]."""
        pair = base64.b64decode(authorization.removeprefix("Basic ")).decode().split(":")
        if [unquote(each) for each in pair] != [CLIENT, SECRET]:
            return 401, {"error": "invalid_client"}
        question = self.codes.pop(form["code"], None)
        if question is None or question["redirect_uri"] != form["redirect_uri"]:
            return 400, {"error": "invalid_grant"}
        challenge = encode(hashlib.sha256(form["code_verifier"].encode()).digest())
        if challenge != question["code_challenge"]:
            return 400, {"error": "invalid_grant"}
        claims = self.person | self._usual(question) | self.said
        token = self.make_token(claims) if self.make_token else self.sign(claims)
        return 200, {"access_token": "unused", "token_type": "Bearer", "id_token": token}

    def sign(self, claims: Claims) -> str:
        header = {"alg": self.key.algorithm, "kid": self.key.name} | self.header
        content = f"{encode_json(header)}.{encode_json(claims)}"
        return f"{content}.{encode(self.key.sign(content.encode()))}"

    def _usual(self, question: dict[str, str]) -> Claims:
        now = int(time.time())
        usual: Claims = {"iss": self.issuer, "aud": CLIENT, "iat": now, "exp": now + 300}
        return usual | {"nonce": question["nonce"], "auth_time": now}


@contextmanager
def run_provider() -> Iterator[IdentityProvider]:
    """The provider, served."""
    provider = IdentityProvider()
    server = ThreadingHTTPServer(("127.0.0.1", 0), _make_handler(provider))
    provider.issuer = f"http://127.0.0.1:{server.server_address[1]}"
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02})
    thread.start()
    yield provider
    server.shutdown()
    thread.join()
    server.server_close()


def encode(content: bytes) -> str:
    return base64.urlsafe_b64encode(content).rstrip(b"=").decode()


def encode_json(content: Claims) -> str:
    return encode(json.dumps(content).encode())


def encode_number(number: int) -> str:
    return encode(number.to_bytes((number.bit_length() + 7) // 8, "big"))


def _make_handler(provider: IdentityProvider) -> type[BaseHTTPRequestHandler]:
    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            provider.asked.append(self.path)
            if self.path == "/.well-known/openid-configuration":
                self.answer(200, provider.describe())
            elif self.path == "/keys":
                keys = provider.published or [provider.key]
                self.answer(200, {"keys": [key.publish() for key in keys]})
            else:
                self.answer(404, {})

        def do_POST(self) -> None:
            body = self.rfile.read(int(self.headers["content-length"])).decode()
            form = {name: values[0] for name, values in parse_qs(body).items()}
            self.answer(*provider.turn_in(form, self.headers.get("authorization", "")))

        def answer(self, status: int, content: Claims) -> None:
            body = json.dumps(content).encode()
            self.send_response(status)
            self.send_header("content-type", "application/json")
            self.send_header("content-length", str(len(body)))
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, format: str, *arguments: Any) -> None:  # noqa: A002 - the base's name
            pass

    return Handler
