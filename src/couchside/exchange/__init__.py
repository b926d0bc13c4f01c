"""What comes and goes by other means than a hand: the watched folder."""

from couchside.exchange.inbox import Afterwards
from couchside.exchange.inbox_scan import Pace
from couchside.exchange.watched_folder import FolderWatch

__all__ = ["Afterwards", "FolderWatch", "Pace"]
