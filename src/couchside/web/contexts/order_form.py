"""What may be said of a person for whom no recording is kept, with the words made ready."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.service import DecisionKind, DecisionSummary, State
from couchside.web.contexts.decision_form import NOT_RECORDED_REASONS
from couchside.web.translation import N_, translate
from couchside.web.translation import gettext as _

GONE_REASONS = (
    N_("Went home"),
    N_("Was called to another examination"),
    N_("Did not want to wait"),
    N_("Was moved to another place"),
)
_EXPECTED = frozenset({State.WAITING, State.TO_BE_REPEATED})
_CLOSED = frozenset({State.COULD_NOT_BE_RECORDED, State.GONE})


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderWay:
    """One thing to be said, with the reasons to choose from."""

    kind: DecisionKind
    words: str
    shape: str
    key: str
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderForm:
    """The ways to close an order without a recording, or that it may be opened again."""

    address: str
    seen_number: int
    ways: tuple[OrderWay, ...]
    may_be_expected: bool


def make_order_form(order_id: int, state: State, on_order: DecisionSummary | None) -> OrderForm:
    """The form for one person; `on_order` is the decision on the order that stands."""
    is_said_of_order = on_order is not None and on_order.kind is not DecisionKind.EXPECTED_AGAIN
    return OrderForm(
        address=f"/orders/{order_id}/decision",
        seen_number=on_order.number if on_order else 0,
        ways=_list_ways(state),
        may_be_expected=state in _CLOSED and is_said_of_order,
    )


def _list_ways(state: State) -> tuple[OrderWay, ...]:
    """A repeat that cannot be made is said of its recording, on whose page this stands too."""
    if state not in _EXPECTED:
        return ()
    gone = OrderWay(
        kind=DecisionKind.GONE,
        words=_("Gone"),
        shape="gone",
        key="g",
        reasons=tuple(map(translate, GONE_REASONS)),
    )
    if state is State.TO_BE_REPEATED:
        return (gone,)
    not_recorded = OrderWay(
        kind=DecisionKind.COULD_NOT_BE_RECORDED,
        words=_("Could not be recorded"),
        shape="barred",
        key="x",
        reasons=tuple(map(translate, NOT_RECORDED_REASONS)),
    )
    return (not_recorded, gone)
