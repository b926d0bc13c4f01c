"""The state of everything at one moment, and what open pages follow of it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

from couchside.service.desk import Desk
from couchside.service.settings import Settings, load_settings
from couchside.service.telling import TellNowEntry, list_to_tell
from couchside.service.trail import load_change_mark
from couchside.store.queries.recordings import stamp_chains


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """The trail's mark, and the department's choices that stand at it."""

    mark: int
    settings: Settings


@dataclass(frozen=True, slots=True, kw_only=True)
class Followed:
    """What open pages follow beside the round: what is to be told, and the links of all chains."""

    to_tell: tuple[TellNowEntry, ...]
    chains: tuple[int, ...]


def read_moment(desk: Desk) -> Moment:
    """The mark and the choices, in one transaction."""
    with desk.store.reading() as session:
        mark = load_change_mark(session)
        settings = desk.remembered.recall(mark, "settings", partial(load_settings, session))
        return Moment(mark=mark, settings=settings)


def read_followed(desk: Desk) -> Followed:
    """What pages follow, as it stands now."""
    with desk.store.reading() as session:
        chains = stamp_chains(session)
    return Followed(to_tell=list_to_tell(desk), chains=chains)
