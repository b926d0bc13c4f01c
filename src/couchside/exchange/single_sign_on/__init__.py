"""Single sign-on by OpenID Connect: another server says who somebody is [OIDC-CORE].

The authorization code flow with PKCE. `asking` makes the question, `id_token` and `person` judge
the answer, all three without a socket; `provider` alone speaks with the other server.
"""

from couchside.exchange.single_sign_on.asking import (
    Question,
    check_answer,
    make_question,
    make_question_url,
)
from couchside.exchange.single_sign_on.provider import Provider
from couchside.exchange.single_sign_on.settings import SignOnSettings, load_sign_on

__all__ = [
    "Provider",
    "Question",
    "SignOnSettings",
    "check_answer",
    "load_sign_on",
    "make_question",
    "make_question_url",
]
