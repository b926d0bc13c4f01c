"""What the round shows."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from couchside.quality.model import Assessment, Verdict
from couchside.recording import ColourCode, Patient
from couchside.service import (
    ArrivalProblem,
    AttemptSummary,
    Desk,
    OrderSummary,
    RecordingSummary,
    Round,
    RoundEntry,
    State,
    Urgency,
)
from couchside.web.contexts.readiness_view import RecordersLine
from couchside.web.contexts.verdict_view import VerdictView, view_verdict
from couchside.web.translation import format_day, format_weekday, translate
from couchside.web.translation import gettext as _
from couchside.web.wording import (
    SOURCE_WORDS,
    STATE_SHAPES,
    URGENCY_WORDS,
    VERDICT_SHAPES,
    describe_patient,
    format_clock,
    name_of,
    say,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonRow:
    """One person of the round."""

    order_id: int
    address: str
    name: str
    facts: tuple[str, ...]
    place: str
    due: str
    urgency: str
    shape: str
    state: str
    detail: str
    is_decided: bool
    is_settled: bool
    wants_action: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderChoice:
    """An order under which an unmatched recording may be filed."""

    id: int
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class UnmatchedRow:
    """A recording that lies under no order."""

    id: int
    name: str
    facts: tuple[str, ...]
    shape: str
    verdict: str
    arrived: str
    note: str
    choices: tuple[OrderChoice, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ProblemRow:
    """Files that arrived and could not be read."""

    id: int
    names: str
    sentence: str
    arrived: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrival:
    """The newest recording that nobody has decided on, shown large."""

    address: str
    name: str
    facts: tuple[str, ...]
    arrived: str
    verdict: VerdictView


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundView:
    """The whole round."""

    day: date
    heading: str
    is_today: bool
    before: str
    after: str
    counts: tuple[tuple[int, str], ...]
    arrival: Arrival | None
    people: tuple[PersonRow, ...]
    unmatched: tuple[UnmatchedRow, ...]
    problems: tuple[ProblemRow, ...]
    recorders: RecordersLine | None = None


def view_round(
    desk: Desk,
    listed: Round,
    arrival: Arrival | None,
    causes: dict[int, str],
    recorders: RecordersLine | None = None,
) -> RoundView:
    """The round as the page shows it; `causes` are those of verdicts, by recording."""
    open_orders = list_open(listed)
    return RoundView(
        day=listed.day,
        heading=f"{format_weekday(listed.day)} {format_day(listed.day)}",
        is_today=listed.day == desk.today(),
        before=(listed.day - timedelta(days=1)).isoformat(),
        after=(listed.day + timedelta(days=1)).isoformat(),
        counts=count_states(listed),
        arrival=arrival,
        people=tuple(view_person(desk, entry, causes) for entry in listed.entries),
        unmatched=tuple(_view_unmatched(desk, each, open_orders) for each in listed.unmatched),
        problems=tuple(_view_problem(desk, each) for each in listed.problems),
        recorders=recorders,
    )


def list_open(listed: Round) -> tuple[RoundEntry, ...]:
    """The people of whom no recording is kept yet."""
    return tuple(entry for entry in listed.entries if entry.kept is None)


def count_states(listed: Round) -> tuple[tuple[int, str], ...]:
    """How many people of the round are in each state, those without an answer first."""
    states = [entry.state for entry in listed.entries]
    kept = states.count(State.KEPT) + states.count(State.KEPT_WITH_REMARK)
    counts = (
        (states.count(State.WAITING), _("waiting")),
        (states.count(State.TO_DECIDE), _("to decide")),
        (states.count(State.TO_BE_REPEATED), _("to be repeated")),
        (kept, _("kept")),
        (states.count(State.COULD_NOT_BE_RECORDED), _("could not be recorded")),
        (states.count(State.GONE), _("gone")),
    )
    return tuple((number, words) for number, words in counts if number)


def list_caused(listed: Round) -> tuple[int, ...]:
    """Recordings to decide on whose verdict has a cause to be told."""
    return tuple(
        entry.latest.recording_id
        for entry in listed.entries
        if entry.latest is not None
        and entry.state is State.TO_DECIDE
        and entry.verdict is not Verdict.KEEP
    )


def find_newest_undecided(listed: Round) -> tuple[OrderSummary, AttemptSummary] | None:
    """The recording that arrived last and its order, if nobody has decided on it yet."""
    waiting = [
        (entry.order, entry.latest)
        for entry in listed.entries
        if entry.latest is not None and entry.state is State.TO_DECIDE
    ]
    return max(waiting, key=lambda pair: pair[1].received_at, default=None)


def view_arrival(
    desk: Desk,
    order: OrderSummary,
    attempt: AttemptSummary,
    assessment: Assessment,
    code: ColourCode,
) -> Arrival:
    """A recording's verdict, to be read across the room."""
    return Arrival(
        address=f"/recordings/{attempt.recording_id}",
        name=name_of(order.patient),
        facts=describe_patient(order.patient),
        arrived=format_clock(attempt.received_at, desk.zone),
        verdict=view_verdict(assessment, code),
    )


def view_person(desk: Desk, entry: RoundEntry, causes: dict[int, str]) -> PersonRow:
    """One person as the round shows them."""
    recording = entry.latest.recording_id if entry.latest else None
    return PersonRow(
        order_id=entry.order.id,
        address=f"/recordings/{recording}" if recording else f"/orders/{entry.order.id}",
        name=name_of(entry.order.patient),
        facts=(
            *describe_patient(entry.order.patient),
            *((_("identity amended"),) if entry.order.amendments else ()),
        ),
        place=entry.order.place,
        due=format_clock(entry.order.due_at, desk.zone),
        urgency=""
        if entry.order.urgency is Urgency.ROUTINE
        else translate(URGENCY_WORDS[entry.order.urgency]),
        shape=_shape_of(entry),
        state=_state_words(entry),
        detail=_detail(entry, causes.get(recording or 0, "")),
        is_decided=entry.state not in {State.WAITING, State.TO_DECIDE},
        is_settled=entry.state.is_settled,
        wants_action=entry.state in {State.TO_DECIDE, State.TO_BE_REPEATED},
    )


def _shape_of(entry: RoundEntry) -> str:
    if entry.state is State.TO_DECIDE and entry.verdict is not None:
        return VERDICT_SHAPES[entry.verdict]
    return STATE_SHAPES[entry.state]


def _state_words(entry: RoundEntry) -> str:
    if entry.state is State.TO_DECIDE and entry.verdict is not None:
        return say(entry.verdict.value)
    return say(entry.state.value)


def _detail(entry: RoundEntry, cause: str) -> str:
    said = cause or _("to decide") if entry.state is State.TO_DECIDE else ""
    attempts = (
        _("attempt %(number)s", number=entry.attempt_count) if entry.attempt_count > 1 else ""
    )
    reason = entry.decision.reason or entry.decision.remark if entry.decision else ""
    return " · ".join(part for part in (said, reason, attempts) if part)


def _view_unmatched(
    desk: Desk, summary: RecordingSummary, open_orders: tuple[RoundEntry, ...]
) -> UnmatchedRow:
    return UnmatchedRow(
        id=summary.id,
        name=name_of(summary.patient),
        facts=describe_patient(summary.patient),
        shape=VERDICT_SHAPES[summary.verdict],
        verdict=say(summary.verdict.value),
        arrived=format_clock(summary.received_at, desk.zone),
        note=translate(summary.note),
        choices=list_choices(summary.patient, open_orders),
    )


def list_choices(stated: Patient, open_orders: tuple[RoundEntry, ...]) -> tuple[OrderChoice, ...]:
    """The orders under which a recording may be filed, likeliest first."""
    likeliest_first = sorted(open_orders, key=lambda entry: -_likeness(stated, entry.order.patient))
    return tuple(
        OrderChoice(id=entry.order.id, words=_order_words(entry)) for entry in likeliest_first
    )


def _order_words(entry: RoundEntry) -> str:
    parts = (name_of(entry.order.patient), *describe_patient(entry.order.patient)[:2])
    return " · ".join((*parts, entry.order.place)) if entry.order.place else " · ".join(parts)


def _likeness(stated: Patient, ordered: Patient) -> int:
    """How many of number, date of birth and names agree."""
    pairs = (
        (stated.identifier, ordered.identifier),
        (stated.birth_date, ordered.birth_date),
        (stated.family_name.casefold(), ordered.family_name.casefold()),
        (stated.given_name.casefold(), ordered.given_name.casefold()),
    )
    return sum(1 for left, right in pairs if left and left == right)


def _view_problem(desk: Desk, problem: ArrivalProblem) -> ProblemRow:
    return ProblemRow(
        id=problem.id,
        names=", ".join(file.name for file in problem.files),
        sentence=translate(problem.sentence),
        arrived=", ".join(
            (
                format_clock(problem.received_at, desk.zone),
                translate(SOURCE_WORDS[problem.source]),
            )
        ),
    )
