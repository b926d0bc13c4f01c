"""The department's own protocol: which measured values are to be shown to a clinician at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from couchside.measures.owned_tables import OwnedTable
from couchside.measures.quantities import LEAD_QUANTITIES, QUANTITIES
from couchside.recording import Sex

_RULE_FIELDS: dict[str, tuple[type, ...]] = {
    "measure": (str,),
    "at_most": (int, float),
    "at_least": (int, float),
    "unit": (str,),
    "source": (str,),
    "from_years": (int, float),
    "below_years": (int, float),
    "sex": (str,),
    "leads": (list,),
    "in_leads": (int,),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ProtocolRule:
    """One line of the protocol.

    Parameters
    ----------
    measure : str
        A key of `QUANTITIES`.
    at_most, at_least : float or None
        The value is told where it is at most, or at least, this; one of the two is given.
    source : str
        Where the department has it from.
    from_years, below_years : float or None
        Ages to which the rule applies, the first included; a person whose age is not stated is
        never left out.
    sex : Sex or None
        To whom it applies; a person whose sex is not stated is never left out.
    leads : tuple of str
        For a quantity of single leads: which ones.
    in_leads : int
        In how many of them the value must be so.
    """

    measure: str
    at_most: float | None = None
    at_least: float | None = None
    source: str = ""
    from_years: float | None = None
    below_years: float | None = None
    sex: Sex | None = None
    leads: tuple[str, ...] = ()
    in_leads: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Protocol:
    """A local protocol.

    Parameters
    ----------
    title : str
        What the department calls it.
    owner : str
        Who answers for it.
    is_example : bool
        True until the department has put its own values in place of the shipped ones.
    rules : tuple of ProtocolRule
        In the order in which they are told.
    """

    title: str
    owner: str
    is_example: bool
    rules: tuple[ProtocolRule, ...]


def parse_protocol(text: str, file_name: str) -> Protocol:
    """Read a protocol.

    Parameters
    ----------
    text : str
        TOML: ``title``, ``owner``, ``is_example`` and any number of ``[[rule]]``.
    file_name : str
        For messages.

    Raises
    ------
    InvalidInput
        If it is not TOML, or a field is unknown, missing, of another kind or unit, or cannot be
        met; the sentence names line and field.
    """
    owned = OwnedTable(text=text, file_name=file_name, row_name="rule")
    table = owned.parse()
    ownership = owned.get_ownership(table)
    reading = _Reading(owned=owned)
    rules = tuple(
        reading.read_rule(number, rule) for number, rule in enumerate(owned.get_rows(table))
    )
    return Protocol(
        title=ownership.title,
        owner=ownership.owner,
        is_example=ownership.is_example,
        rules=rules,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Reading:
    """Reads one rule after another of a table."""

    owned: OwnedTable

    def read_rule(self, number: int, rule: object) -> ProtocolRule:
        if not isinstance(rule, dict):
            raise self.owned.complain(number, "rule", "is no table; begin each rule with [[rule]]")
        self.owned.check_fields(rule, _RULE_FIELDS, row=number)
        self._check_measure(number, rule)
        self._check_bounds(number, rule)
        self._check_leads(number, rule)
        if not rule.get("source", "").strip():
            raise self.owned.complain(
                number, "source", "is missing; say where the value comes from"
            )
        return ProtocolRule(
            measure=rule["measure"],
            at_most=_number(rule.get("at_most")),
            at_least=_number(rule.get("at_least")),
            source=rule["source"],
            from_years=_number(rule.get("from_years")),
            below_years=_number(rule.get("below_years")),
            sex=self._read_sex(number, rule),
            leads=tuple(rule.get("leads", ())),
            in_leads=rule.get("in_leads", 1),
        )

    def _check_measure(self, number: int, rule: Mapping[str, object]) -> None:
        measure = rule.get("measure")
        if measure is None:
            raise self.owned.complain(number, "measure", "is missing; say what is measured")
        if measure not in QUANTITIES:
            choices = ", ".join(QUANTITIES)
            raise self.owned.complain(number, "measure", f"is {measure!r}; choose from {choices}")
        unit = QUANTITIES[str(measure)].unit
        if rule.get("unit") != unit:
            found = repr(rule["unit"]) if "unit" in rule else "missing"
            raise self.owned.complain(
                number, "unit", f"is {found}; {measure} is measured in {unit!r}, write that"
            )

    def _check_bounds(self, number: int, rule: Mapping[str, object]) -> None:
        given = [name for name in ("at_most", "at_least") if name in rule]
        if len(given) != 1:
            field = given[0] if given else "at_most"
            what = "stands beside at_least" if given else "is missing, and so is at_least"
            raise self.owned.complain(number, field, f"{what}; give exactly one of the two")
        start, end = _number(rule.get("from_years")), _number(rule.get("below_years"))
        if start is not None and end is not None and start >= end:
            raise self.owned.complain(number, "below_years", f"is {end:g}, not above from_years")

    def _check_leads(self, number: int, rule: Mapping[str, object]) -> None:
        leads = rule.get("leads", [])
        is_of_leads = rule["measure"] in LEAD_QUANTITIES
        if is_of_leads != bool(leads):
            what = "is missing; name the leads" if is_of_leads else "does not fit this measure"
            raise self.owned.complain(number, "leads", what)
        if not (isinstance(leads, list) and all(isinstance(lead, str) for lead in leads)):
            raise self.owned.complain(number, "leads", "is no list of lead names; correct it")
        wanted = rule.get("in_leads", 1)
        if not (isinstance(wanted, int) and 1 <= wanted <= max(len(leads), 1)):
            raise self.owned.complain(
                number, "in_leads", f"is {wanted}; give 1 to {max(len(leads), 1)} leads"
            )

    def _read_sex(self, number: int, rule: Mapping[str, object]) -> Sex | None:
        stated = rule.get("sex")
        if stated is None:
            return None
        if stated not in {Sex.FEMALE.value, Sex.MALE.value}:
            raise self.owned.complain(number, "sex", f"is {stated!r}; choose female or male")
        return Sex(str(stated))


def _number(value: object) -> float | None:
    return float(value) if isinstance(value, int | float) else None
