"""The remark for the reader, written from the rows of the policy that fired."""

from __future__ import annotations

from couchside.quality.model import Finding, FindingKind, FiredRow, PolicyAnswer, Verdict
from couchside.quality.wording import join_words, list_leads, name_electrodes, name_leads

PLACEHOLDERS = ("leads", "electrodes", "hidden", "when")
MOST_SENTENCES = 2


def write_remark(answer: PolicyAnswer, recorded: tuple[str, ...]) -> str:
    """One or two sentences ready to print.

    Parameters
    ----------
    answer : PolicyAnswer
        The rows that fired, weightiest first.
    recorded : tuple of str
        Leads of the recording, in its order.

    Returns
    -------
    str
        The first row's remark and the second's; of more than two, the second sentence names what
        else there is. Findings of one row are told together. Empty where nothing asks for a remark.
    """
    told = [fired for fired in answer.rows if fired.asks is not Verdict.KEEP and fired.remark]
    by_row: dict[str, list[FiredRow]] = {}
    for fired in told:
        by_row.setdefault(fired.row, []).append(fired)
    sentences = [_fill(group, recorded) for group in by_row.values()]
    if len(sentences) <= MOST_SENTENCES:
        return " ".join(sentences)
    others = list(by_row.values())[1:]
    return f"{sentences[0]} Also: {join_words(_name_briefly(each, recorded) for each in others)}."


def _fill(group: list[FiredRow], recorded: tuple[str, ...]) -> str:
    findings = [fired.finding for fired in group]
    filled = group[0].remark.format(
        leads=_name_leads(findings, recorded),
        electrodes=_name_electrodes(findings),
        hidden=_name_hidden(findings),
        when=_say_when(findings),
    )
    return filled[0].upper() + filled[1:]


def _name_briefly(group: list[FiredRow], recorded: tuple[str, ...]) -> str:
    findings = [fired.finding for fired in group]
    kinds = join_words(dict.fromkeys(found.kind.value for found in findings))
    where = _name_leads(findings, recorded)
    if not any(found.leads for found in findings):
        return kinds
    is_of_missing = findings[0].kind is FindingKind.LEADS_MISSING
    return f"{kinds} ({where})" if is_of_missing else f"{kinds} in {where}"


def _name_leads(findings: list[Finding], recorded: tuple[str, ...]) -> str:
    leads = {lead for found in findings for lead in found.leads}
    shown = tuple(lead for lead in recorded if lead in leads)
    return name_leads(shown, recorded) if shown else list_leads(leads) or "the recording"


def _name_electrodes(findings: list[Finding]) -> str:
    electrodes = tuple(dict.fromkeys(each for found in findings for each in found.electrodes))
    return f"the {name_electrodes(electrodes)}" if electrodes else "the electrodes"


def _name_hidden(findings: list[Finding]) -> str:
    hidden = dict.fromkeys(each.what.value for found in findings for each in found.hides)
    return join_words(hidden) or "small waves"


def _say_when(findings: list[Finding]) -> str:
    if any(not found.spans_s for found in findings):
        return "all through"
    spans = sorted(span for found in findings for span in found.spans_s)
    if len(spans) > _MOST_SPANS:
        return f"at times between {spans[0][0]:g} and {spans[-1][1]:g} s"
    return f"at {join_words(f'{start:g}–{end:g}' for start, end in spans)} s"


_MOST_SPANS = 3
