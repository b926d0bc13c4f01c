"""Pages and API: on this machine for whoever sits at it, elsewhere with sign-in and TLS alone."""

from couchside.web.app import create_app
from couchside.web.server import serve

__all__ = ["create_app", "serve"]
