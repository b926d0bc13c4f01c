"""What a browser carries to the other server and back without being able to read or change it."""

from __future__ import annotations

import json
from dataclasses import asdict
from datetime import datetime

from joserfc import jwe
from joserfc.errors import JoseError
from joserfc.jwk import OctKey

from couchside.exchange.single_sign_on import Question

_HEADER = {"alg": "dir", "enc": "A256GCM"}


class Seal:
    """Seals questions with a key that this process alone has, and that ends with it.

    So nothing is kept here of people who ask and never come back, however many they are.
    """

    def __init__(self) -> None:
        self._key = OctKey.generate_key(256)

    def close(self, question: Question) -> str:
        """The question as a cookie may carry it."""
        text = json.dumps(asdict(question), default=datetime.isoformat)
        return jwe.encrypt_compact(_HEADER, text, self._key)

    def open(self, sealed: str) -> Question | None:
        """The question that was sealed here; None where it was not."""
        try:
            opened = jwe.decrypt_compact(sealed, self._key, algorithms=list(_HEADER.values()))
        except (JoseError, ValueError):
            return None
        fields = json.loads(opened.plaintext or b"{}")
        return Question(**fields | {"asked_at": datetime.fromisoformat(fields["asked_at"])})
