"""The tell-now list: measured values that a local protocol wants shown to a clinician at once."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.measures.limits import find_age_years
from couchside.measures.model import Measures
from couchside.measures.protocol import Protocol, ProtocolRule
from couchside.measures.quantities import LEAD_QUANTITIES, QUANTITIES, Quantity
from couchside.recording import Recording, Sex

CALL = "Show to a clinician now"


@dataclass(frozen=True, slots=True, kw_only=True)
class TellNowItem:
    """One measured value that meets the protocol.

    Parameters
    ----------
    measure : str
        What the protocol calls it.
    told : str
        Value and protocol in words: ``"heart rate 31 /min (local protocol: at most 35 /min)"``.
    value : float
        What was measured; of several leads, the value farthest from the protocol's.
    unit : str
        Of the value.
    leads : tuple of str
        In which leads, for a quantity of single leads.
    source : str
        Where the department has the protocol's value from.
    """

    measure: str
    told: str
    value: float
    unit: str
    leads: tuple[str, ...]
    source: str

    @property
    def sentence(self) -> str:
        """What is said: never what it may mean."""
        return f"{CALL}: {self.told}."


@dataclass(frozen=True, slots=True, kw_only=True)
class TellNow:
    """What a protocol wants told of one recording.

    Parameters
    ----------
    protocol_title : str
        Whose protocol it is.
    is_example : bool
        Whether its values are those shipped as an example.
    items : tuple of TellNowItem
        In the order of the protocol; empty where nothing meets it.
    not_judged : tuple of str
        Rules that could not be judged, each with the reason.
    """

    protocol_title: str
    is_example: bool
    items: tuple[TellNowItem, ...]
    not_judged: tuple[str, ...]


def evaluate(protocol: Protocol, recording: Recording, measures: Measures) -> TellNow:
    """Hold measured values against a protocol.

    Parameters
    ----------
    protocol : Protocol
        From `parse_protocol`.
    recording : Recording
        Gives age and sex; where one is not stated, rules for any age or sex apply.
    measures : Measures
        Of that recording.

    Returns
    -------
    TellNow
        Values are compared as they are printed, so that what is told and what is read agree. What
        was not measurable is not passed over: its rule stands under `not_judged`.
    """
    items: list[TellNowItem] = []
    not_judged: list[str] = []
    for rule in protocol.rules:
        if not _applies(rule, recording):
            continue
        if rule.measure in LEAD_QUANTITIES:
            item, reason = _judge_leads(rule, measures)
        else:
            item, reason = _judge(rule, measures)
        items += [item] if item else []
        not_judged += [f"{_describe(rule)}: {reason}"] if reason else []
    return TellNow(
        protocol_title=protocol.title,
        is_example=protocol.is_example,
        items=tuple(items),
        not_judged=tuple(not_judged),
    )


def _applies(rule: ProtocolRule, recording: Recording) -> bool:
    sex, age_years = recording.patient.sex, find_age_years(recording)
    is_other_sex = rule.sex is not None and sex not in {rule.sex, Sex.NOT_STATED}
    if age_years is None:
        return not is_other_sex
    is_too_young = rule.from_years is not None and age_years < rule.from_years
    is_too_old = rule.below_years is not None and age_years >= rule.below_years
    return not (is_other_sex or is_too_young or is_too_old)


def _judge(rule: ProtocolRule, measures: Measures) -> tuple[TellNowItem | None, str]:
    quantity = QUANTITIES[rule.measure]
    reading = quantity.read(measures, "")
    if reading.value is None:
        return None, reading.reason
    if not _meets(rule, quantity, reading.value):
        return None, ""
    return _item(rule, reading.value, (), quantity.format(reading.value)), ""


def _judge_leads(rule: ProtocolRule, measures: Measures) -> tuple[TellNowItem | None, str]:
    quantity = QUANTITIES[rule.measure]
    readings = {lead: quantity.read(measures, lead) for lead in rule.leads}
    values = {lead: each.value for lead, each in readings.items() if each.value is not None}
    met = {lead: value for lead, value in values.items() if _meets(rule, quantity, value)}
    if len(met) >= rule.in_leads:
        farthest = max(met.values()) if rule.at_least is not None else min(met.values())
        printed = ", ".join(f"{lead} {quantity.format(value)}" for lead, value in met.items())
        return _item(rule, farthest, tuple(met), printed), ""
    missing = len(readings) - len(values)
    if len(met) + missing < rule.in_leads:
        return None, ""
    reasons = dict.fromkeys(each.reason for each in readings.values() if each.reason)
    return None, "; ".join(reasons)


def _meets(rule: ProtocolRule, quantity: Quantity, value: float) -> bool:
    printed = quantity.printed(value)
    if rule.at_most is not None:
        return printed <= rule.at_most
    return rule.at_least is not None and printed >= rule.at_least


def _item(rule: ProtocolRule, value: float, leads: tuple[str, ...], printed: str) -> TellNowItem:
    quantity = QUANTITIES[rule.measure]
    joint = ": " if leads else " "
    return TellNowItem(
        measure=rule.measure,
        told=f"{quantity.words}{joint}{printed} {_unit(quantity)} "
        f"(local protocol: {_describe_bound(rule)})",
        value=value,
        unit=quantity.unit,
        leads=leads,
        source=rule.source,
    )


def _describe(rule: ProtocolRule) -> str:
    return f"{QUANTITIES[rule.measure].words} {_describe_bound(rule)}"


def _describe_bound(rule: ProtocolRule) -> str:
    bound = (
        f"at most {rule.at_most:g}" if rule.at_most is not None else f"at least {rule.at_least:g}"
    )
    where = f" in {rule.in_leads} of {', '.join(rule.leads)}" if rule.leads else ""
    return f"{bound} {_unit(QUANTITIES[rule.measure])}{where}"


def _unit(quantity: Quantity) -> str:
    return "°" if quantity.unit == "deg" else quantity.unit
