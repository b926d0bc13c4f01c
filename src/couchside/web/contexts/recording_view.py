"""What the page about one recording shows."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.measures.lead_words import LEAD_HEADS, LEADS_NOTE, LeadRow
from couchside.measures.tell_now import TellNow
from couchside.paper.layouts import RHYTHM_LEADS
from couchside.recording import Patient, Recording, Sex
from couchside.service import Desk, OpenedRecording, RoundEntry, Settings, State
from couchside.web.contexts.amendment_view import AmendmentView, view_amendments
from couchside.web.contexts.attempt_view import (
    AttemptRow,
    DecisionView,
    view_attempts,
    view_decision,
)
from couchside.web.contexts.circumstances_view import CircumstancesView, view_circumstances
from couchside.web.contexts.comparison_view import ComparisonView, view_comparison
from couchside.web.contexts.decision_form import DecisionForm, make_decision_form
from couchside.web.contexts.file_facts import Fact, describe_filter, list_facts
from couchside.web.contexts.finding_view import FindingView, view_findings
from couchside.web.contexts.measure_view import MeasureRow, view_groups, view_leads, view_measures
from couchside.web.contexts.order_form import OrderForm, make_order_form
from couchside.web.contexts.patient_view import make_patient_address
from couchside.web.contexts.progress_view import ProgressView, view_progress
from couchside.web.contexts.put_right_view import PutRightView, view_put_right
from couchside.web.contexts.round_view import OrderChoice, list_choices
from couchside.web.contexts.telling_view import TellingView, view_telling
from couchside.web.contexts.verdict_view import VerdictView, view_verdict
from couchside.web.translation import gettext as _
from couchside.web.translation import translate
from couchside.web.wording import describe_patient, name_of


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordingView:
    """The whole page about one recording.

    `waits_for` is the number of the attempt that is awaited, 0 where none is. `contradiction`
    says where the file names another person than the order, empty where it does not. `on_order` is
    a decision that closed the order itself, `order_form` what may be said of it. `choices` are
    orders under which a recording without one may be filed. `tell_now` holds the sentences that the
    department's protocol wants said now, `not_judged` what it could not judge. `comparison` is None
    where the person has no earlier kept recording, `put_right` where no exchange of cables is told
    that software can undo. `groups` is empty where all beats are alike, `patient_address` without a
    number.
    `strip_leads` are those that a strip shows until others are chosen.
    """

    id: int
    order_id: int | None
    name: str
    facts: tuple[str, ...]
    place: str
    contradiction: str
    amendments: tuple[AmendmentView, ...]
    tell_now: tuple[str, ...]
    not_judged: tuple[str, ...]
    told: tuple[TellingView, ...]
    circumstances: CircumstancesView
    progress: ProgressView | None
    attempt_number: int | None
    attempts: tuple[AttemptRow, ...]
    waits_for: int
    on_order: DecisionView | None
    order_form: OrderForm | None
    verdict: VerdictView
    decision: DecisionView | None
    earlier_decisions: tuple[DecisionView, ...]
    form: DecisionForm
    findings: tuple[FindingView, ...]
    measures: tuple[MeasureRow, ...]
    groups: str
    lead_heads: tuple[str, ...]
    lead_rows: tuple[LeadRow, ...]
    leads_note: str
    filter: str
    leads: tuple[str, ...]
    strip_leads: tuple[str, ...]
    duration_s: float
    file_facts: tuple[Fact, ...]
    note: str
    choices: tuple[OrderChoice, ...]
    comparison: ComparisonView | None
    put_right: PutRightView | None
    patient_address: str

    @property
    def is_filed(self) -> bool:
        """Whether it lies under an order."""
        return self.order_id is not None


def view_recording(
    desk: Desk, opened: OpenedRecording, settings: Settings, orders: tuple[RoundEntry, ...]
) -> RecordingView:
    """One recording as its page shows it."""
    patient = get_shown_patient(opened)
    told = opened.assessment.tell_now
    decisions = tuple(view_decision(desk, each) for each in opened.decisions)
    return RecordingView(
        id=opened.summary.id,
        order_id=opened.order.id if opened.order else None,
        name=name_of(patient),
        facts=describe_patient(patient),
        place=opened.order.place if opened.order else "",
        contradiction=_find_contradiction(opened),
        amendments=view_amendments(desk, opened.order.amendments) if opened.order else (),
        tell_now=tuple(item.sentence for item in told.items) if told else (),
        not_judged=(*_list_policy_problem(opened), *_list_not_judged(told)),
        told=tuple(view_telling(desk, each) for each in opened.to_tell if each.telling),
        circumstances=view_circumstances(desk, opened, settings.colour_code),
        progress=view_progress(desk, opened),
        attempt_number=opened.attempt_number,
        attempts=view_attempts(desk, opened),
        waits_for=_find_awaited(opened),
        on_order=_find_closing(desk, opened),
        order_form=_make_order_form(opened),
        verdict=view_verdict(opened.assessment, settings.colour_code),
        decision=decisions[-1] if decisions else None,
        earlier_decisions=decisions[:-1],
        form=make_decision_form(opened),
        findings=view_findings(opened, settings.colour_code),
        measures=view_measures(opened.assessment.measures),
        groups=view_groups(opened.assessment.measures),
        lead_heads=LEAD_HEADS,
        lead_rows=view_leads(opened.assessment.measures),
        leads_note=translate(LEADS_NOTE),
        filter=describe_filter(opened.recording.settings),
        leads=opened.recording.leads,
        strip_leads=_choose_strip_leads(opened.recording),
        duration_s=opened.recording.duration_s,
        file_facts=list_facts(desk, opened),
        note=opened.summary.note,
        choices=list_choices(opened.recording.patient, orders),
        comparison=view_comparison(desk, opened),
        put_right=view_put_right(opened),
        patient_address=make_patient_address(patient),
    )


def get_shown_patient(opened: OpenedRecording) -> Patient:
    """The order's patient where there is an order, else the file's."""
    return opened.order.patient if opened.order else opened.recording.patient


def _choose_strip_leads(recording: Recording) -> tuple[str, ...]:
    """What a strip shows until somebody chooses."""
    usual = tuple(str(lead) for lead in RHYTHM_LEADS if recording.has_lead(lead))
    return usual or recording.leads[:1]


def _find_contradiction(opened: OpenedRecording) -> str:
    """That the file names somebody else, where both sides state what differs.

    A file that names the person as they stood before a correction names no one else.
    """
    if opened.order is None:
        return ""
    stated = opened.recording.patient
    known = (opened.order.patient, *(each.before for each in opened.order.amendments))
    if any(_may_be(stated, each) for each in known):
        return ""
    named = ", ".join((name_of(stated), *describe_patient(stated)))
    return _(
        "The file names another person: %(person)s. Make sure whose recording this is.",
        person=named,
    )


def _may_be(stated: Patient, ordered: Patient) -> bool:
    pairs = (
        (stated.identifier, ordered.identifier),
        (stated.birth_date, ordered.birth_date),
        (stated.family_name.casefold(), ordered.family_name.casefold()),
        (_known(stated.sex), _known(ordered.sex)),
    )
    return all(left == right for left, right in pairs if left and right)


def _known(sex: Sex) -> Sex | None:
    return None if sex is Sex.NOT_STATED else sex


def _list_not_judged(told: TellNow | None) -> tuple[str, ...]:
    """What the department's protocol could not judge, and that its values are examples."""
    if told is None:
        return ()
    is_shown = told.is_example and (told.items or told.not_judged)
    example = (_("The protocol’s values are examples."),) if is_shown else ()
    return (
        *(_("Not judged by the protocol: %(what)s", what=each) for each in told.not_judged),
        *example,
    )


def _list_policy_problem(opened: OpenedRecording) -> tuple[str, ...]:
    """Why the department's verdict policy was not used."""
    policy = opened.assessment.policy
    return (policy.problem,) if policy and policy.problem else ()


def _find_awaited(opened: OpenedRecording) -> int:
    if opened.order_state is not State.TO_BE_REPEATED or not opened.attempts:
        return 0
    return opened.attempts[-1].number + 1


def _find_closing(desk: Desk, opened: OpenedRecording) -> DecisionView | None:
    """That the person is gone, where nothing of this order is kept or waits for a decision."""
    if opened.on_order is None or opened.order_state is not State.GONE:
        return None
    return view_decision(desk, opened.on_order)


def _make_order_form(opened: OpenedRecording) -> OrderForm | None:
    if opened.order is None or opened.order_state is None:
        return None
    return make_order_form(opened.order.id, opened.order_state, opened.on_order)
