"""A person has seen to an arrival that could not be read."""

from __future__ import annotations

from couchside.service.desk import Desk
from couchside.service.trail import Deed, Subject, write_trail
from couchside.store.queries.arrivals import get_problem


def set_problem_aside(desk: Desk, problem_id: int) -> None:
    """Take an arrival problem off the round; its bytes and its entry stay. Raises NotFound."""
    with desk.store.writing() as session:
        problem = get_problem(session, problem_id)
        if problem.settled_at is not None:
            return
        problem.settled_at, problem.settled_by = desk.now(), desk.who
        write_trail(
            session,
            desk,
            Deed.PROBLEM_SET_ASIDE,
            subject=Subject.PROBLEM,
            subject_id=problem.id,
            detail={"sentence": problem.sentence},
        )
