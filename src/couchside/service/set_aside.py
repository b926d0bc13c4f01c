"""A person has seen to an arrival that could not be read."""

from __future__ import annotations

from couchside.service.desk import Desk


def set_problem_aside(desk: Desk, problem_id: int) -> None:
    """Take an arrival problem off the round; its bytes and its entry stay. Raises NotFound."""
    raise NotImplementedError
