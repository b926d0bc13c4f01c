"""The byte vault, the tables and their migrations."""

from couchside.store.opening import Store, open_store

__all__ = ["Store", "open_store"]
