"""Pages and API, on this machine's loopback address only."""

from couchside.web.app import create_app
from couchside.web.server import serve

__all__ = ["create_app", "serve"]
