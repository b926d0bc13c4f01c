"""The policy file: TOML that a department may own, and the one that is shipped."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from string import Formatter

from couchside.measures.owned_tables import Fields, OwnedTable
from couchside.quality.model import FindingKind, Reading, Verdict
from couchside.quality.policy import Policy, PolicyRow
from couchside.quality.policy_figures import FIGURES
from couchside.quality.remarks import PLACEHOLDERS

SHIPPED_FILE = "policy.toml"

_FIELDS: Fields = {
    "name": (str,),
    "kinds": (list,),
    "asks": (str,),
    "source": (str,),
    "remark": (str,),
    "at_least": (dict,),
    "at_most": (dict,),
    "leads": (list,),
    "in_leads": (int,),
    "hides": (list,),
    "confidence_at_least": (int, float),
}


def get_shipped_text() -> str:
    """The shipped policy as it stands in its file, from which a department may start."""
    return (files("couchside.quality") / SHIPPED_FILE).read_text(encoding="utf-8")


@cache
def get_shipped_policy() -> Policy:
    """The policy that counts where a department has none of its own."""
    return parse_policy(get_shipped_text(), SHIPPED_FILE)


def parse_policy(text: str, file_name: str) -> Policy:
    """Read a policy.

    Parameters
    ----------
    text : str
        TOML: ``title``, ``owner``, ``is_example`` and any number of ``[[row]]``.
    file_name : str
        For messages.

    Raises
    ------
    InvalidInput
        If it is not TOML, or a field is unknown, missing, of another kind, names a kind of finding,
        figure, wave or lead that there is not, or if a row can never fit; the sentence names line
        and field.
    """
    owned = OwnedTable(text=text, file_name=file_name, row_name="row")
    table = owned.parse()
    ownership = owned.get_ownership(table)
    rows = tuple(_read_row(owned, number, row) for number, row in enumerate(owned.get_rows(table)))
    owned.check_names([row.name for row in rows], taken="taken by an earlier row")
    return Policy(
        title=ownership.title,
        owner=ownership.owner,
        is_example=ownership.is_example,
        rows=rows,
        digest=owned.digest,
    )


def _read_row(owned: OwnedTable, number: int, row: object) -> PolicyRow:
    if not isinstance(row, dict):
        raise owned.complain(number, "row", "is no table; begin each with [[row]]")
    owned.check_fields(row, _FIELDS, row=number)
    for field, what in _WANTED.items():
        if not row.get(field) or (field != "kinds" and not str(row[field]).strip()):
            raise owned.complain(number, field, f"is missing; {what}")
    asks = _read_asks(owned, number, row["asks"])
    _check_remark(owned, number, row.get("remark", ""), asks)
    _check_leads(owned, number, row)
    return PolicyRow(
        name=row["name"].strip(),
        kinds=tuple(FindingKind(each) for each in _choose(owned, number, row, "kinds", _KINDS)),
        asks=asks,
        source=row["source"].strip(),
        remark=row.get("remark", "").strip(),
        at_least=_read_bounds(owned, number, row, "at_least"),
        at_most=_read_bounds(owned, number, row, "at_most"),
        leads=tuple(row.get("leads", ())),
        in_leads=row.get("in_leads", 1 if row.get("leads") else 0),
        hides=tuple(Reading(each) for each in _choose(owned, number, row, "hides", _READINGS)),
        confidence_at_least=_read_confidence(owned, number, row),
    )


_WANTED = {
    "name": "say what the department calls the row",
    "kinds": "list the kinds of finding that it speaks of",
    "asks": "say what is asked",
    "source": "say where the department has it from",
}
_KINDS = tuple(kind.value for kind in FindingKind)
_READINGS = tuple(reading.value for reading in Reading)


def _read_asks(owned: OwnedTable, number: int, asks: str) -> Verdict:
    if asks not in set(Verdict):
        choices = ", ".join(verdict.value for verdict in Verdict)
        raise owned.complain(number, "asks", f"is {asks!r}; choose from {choices}")
    return Verdict(asks)


def _check_remark(owned: OwnedTable, number: int, remark: str, asks: Verdict) -> None:
    if asks is Verdict.KEEP_WITH_REMARK and not remark.strip():
        raise owned.complain(number, "remark", "is missing; write what the reader is to be told")
    try:
        named = [field for _, field, _, _ in Formatter().parse(remark) if field is not None]
    except ValueError as error:
        raise owned.complain(number, "remark", f"has a stray brace ({error}); correct it") from None
    for field in named:
        if field not in PLACEHOLDERS:
            choices = ", ".join(f"{{{name}}}" for name in PLACEHOLDERS)
            raise owned.complain(
                number, "remark", f"has {{{field}}}, which cannot be filled in; there are {choices}"
            )


def _check_leads(owned: OwnedTable, number: int, row: Mapping[str, object]) -> None:
    leads, wanted = row.get("leads", []), row.get("in_leads", 1)
    if not (isinstance(leads, list) and all(isinstance(lead, str) and lead for lead in leads)):
        raise owned.complain(number, "leads", "is no list of lead names; correct it")
    most = len(leads) or None
    if not isinstance(wanted, int) or wanted < 1 or (most is not None and wanted > most):
        allowed = f"1 to {most}" if most else "1 or more"
        raise owned.complain(number, "in_leads", f"is {wanted}; give {allowed}")


def _choose(
    owned: OwnedTable,
    number: int,
    row: Mapping[str, object],
    field: str,
    choices: tuple[str, ...],
) -> list[str]:
    given = row.get(field, [])
    chosen = [str(each) for each in given] if isinstance(given, list) else []
    for each in chosen:
        if each not in choices:
            raise owned.complain(number, field, f"names {each!r}; choose from {', '.join(choices)}")
    return chosen


def _read_bounds(
    owned: OwnedTable, number: int, row: Mapping[str, object], field: str
) -> dict[str, float]:
    given = row.get(field, {})
    bounds = given if isinstance(given, dict) else {}
    for name, bound in bounds.items():
        if name not in FIGURES:
            raise owned.complain(number, field, f"names {name!r}; there are {', '.join(FIGURES)}")
        if isinstance(bound, bool) or not isinstance(bound, int | float):
            raise owned.complain(number, field, f"has {name} = {bound!r}, which is no number")
    return {name: float(bound) for name, bound in bounds.items()}


def _read_confidence(owned: OwnedTable, number: int, row: Mapping[str, object]) -> float:
    least = row.get("confidence_at_least", 0.0)
    if not (isinstance(least, int | float) and 0.0 <= least <= 1.0):
        raise owned.complain(number, "confidence_at_least", f"is {least}; give 0 to 1")
    return float(least)
