"""What a protocol wants told of measured values."""

from __future__ import annotations

from datetime import datetime

import numpy as np
import pytest

from couchside.measures.lead_model import LeadMeasures, StLevel
from couchside.measures.model import Measured, MeasureName, Measures, QtcChoice
from couchside.measures.protocol import Protocol, ProtocolRule
from couchside.measures.quantities import QUANTITIES
from couchside.measures.rhythm_model import Rhythm, RrInterval
from couchside.measures.tell_now import evaluate
from couchside.recording import Patient, Recording, Sex

FORBIDDEN = ("diagnos", "infarct", "block", "tachy", "brady", "fibrillation", "abnormal", "normal")


def _recording(*, age: float | None = 60.0, sex: Sex = Sex.MALE) -> Recording:
    return Recording(
        leads=("II",),
        microvolts=np.zeros((1, 10)),
        rate_hz=500.0,
        start=datetime(2026, 1, 5, 9, 0),  # noqa: DTZ001 - a recorder's own clock
        patient=Patient(stated_age_years=age, sex=sex),
    )


def _measures(
    rate: float | None = 31.2, st_mv: dict[str, float] | None = None, longest_ms: float = 1200.0
) -> Measures:
    reason = "" if rate is not None else "no beats were found"
    values = [
        Measured(name=MeasureName.HEART_RATE, value=rate, unit="/min", method="m", reason=reason),
        Measured(name=MeasureName.QTC_FRIDERICIA, value=499.7, unit="ms", method="Fridericia"),
    ]
    leads = tuple(
        LeadMeasures(
            lead=lead,
            waves=(),
            st=tuple(StLevel(after_j_ms=after, level_uv=level * 1000) for after in range(5)),
            i_segment_ms=None,
            k_segment_ms=None,
            peak_to_peak_uv=None,
            noise_uv=None,
        )
        for lead, level in (st_mv or {}).items()
    )
    return Measures(
        values=tuple(values),
        leads=leads,
        rhythm=Rhythm(beat_count=9, longest=RrInterval(from_s=2.0, rr_ms=longest_ms)),
        qtc_choice=QtcChoice(name=MeasureName.QTC_FRIDERICIA, sentence="s"),
    )


def _protocol(*rules: ProtocolRule) -> Protocol:
    return Protocol(title="Ours", owner="", is_example=False, rules=rules)


SLOW = ProtocolRule(measure="heart_rate", at_most=35.0, source="ours", from_years=16.0)


def test_value_is_told_with_the_protocol() -> None:
    told = evaluate(_protocol(SLOW), _recording(), _measures())

    assert [item.sentence for item in told.items] == [
        "Show to a clinician now: heart rate 31 /min (local protocol: at most 35 /min)."
    ]
    assert told.items[0].value == pytest.approx(31.2)
    assert told.not_judged == ()


@pytest.mark.parametrize(("rate", "is_told"), [(35.0, True), (35.4, True), (35.6, False)])
def test_value_is_compared_as_it_is_printed(rate: float, is_told: bool) -> None:  # noqa: FBT001
    told = evaluate(_protocol(SLOW), _recording(), _measures(rate))

    assert bool(told.items) is is_told


def test_qtc_to_quote_is_the_chosen_one() -> None:
    rule = ProtocolRule(measure="qtc_to_quote", at_least=500.0, source="ours")

    told = evaluate(_protocol(rule), _recording(), _measures())

    assert told.items[0].told.startswith("QTc 500 ms")


def test_what_was_not_measurable_is_not_passed_over() -> None:
    told = evaluate(_protocol(SLOW), _recording(), _measures(rate=None))

    assert told.items == ()
    assert told.not_judged == ("heart rate at most 35 /min: no beats were found",)


@pytest.mark.parametrize(
    ("age", "is_told"), [(60.0, True), (16.0, True), (9.0, False), (None, True)]
)
def test_rule_of_an_age_leaves_nobody_out_whose_age_is_not_stated(
    age: float | None,
    is_told: bool,  # noqa: FBT001
) -> None:
    told = evaluate(_protocol(SLOW), _recording(age=age), _measures())

    assert bool(told.items) is is_told


@pytest.mark.parametrize(
    ("sex", "is_told"), [(Sex.MALE, False), (Sex.FEMALE, True), (Sex.NOT_STATED, True)]
)
def test_rule_of_a_sex(sex: Sex, is_told: bool) -> None:  # noqa: FBT001
    rule = ProtocolRule(measure="heart_rate", at_most=35.0, source="o", sex=Sex.FEMALE)

    told = evaluate(_protocol(rule), _recording(sex=sex), _measures())

    assert bool(told.items) is is_told


ST = ProtocolRule(
    measure="st_j20", at_least=0.1, source="o", leads=("II", "III", "aVF"), in_leads=2
)


def test_st_is_told_in_enough_leads() -> None:
    both = evaluate(
        _protocol(ST), _recording(), _measures(st_mv={"II": 0.21, "III": 0.3, "aVF": 0.02})
    )
    one = evaluate(
        _protocol(ST), _recording(), _measures(st_mv={"II": 0.21, "III": 0.05, "aVF": 0.02})
    )

    assert both.items[0].told.startswith("ST at J+20 ms: II 0.21, III 0.30 mV")
    assert both.items[0].value == pytest.approx(0.3)
    assert one.items == ()
    assert one.not_judged == ()


def test_st_that_a_missing_lead_leaves_open_is_not_judged() -> None:
    told = evaluate(_protocol(ST), _recording(), _measures(st_mv={"II": 0.21, "III": 0.05}))

    assert told.items == ()
    assert told.not_judged[0].endswith("lead aVF was not recorded")


def test_wording_never_says_what_a_value_may_mean() -> None:
    words = [quantity.words for quantity in QUANTITIES.values()]
    told = evaluate(_protocol(SLOW, ST), _recording(), _measures(st_mv={"II": 1.0, "III": 1.0}))

    for text in [*words, *(item.sentence for item in told.items)]:
        assert not any(word in text.casefold() for word in FORBIDDEN)
