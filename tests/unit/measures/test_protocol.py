"""The protocol file: what is read, and the one sentence for what is broken."""

from __future__ import annotations

import pytest

from couchside.errors import InvalidInput
from couchside.measures.protocol import parse_protocol
from couchside.recording import Sex

GOOD = """title = "Ward protocol"
owner = "Dr Ashgrove"

[[rule]]
measure = "heart_rate"
at_most = 35
unit = "/min"
from_years = 16
sex = "female"
source = "our own"

[[rule]]
measure = "st_j60"
at_least = 0.2
unit = "mV"
leads = ["V2", "V3"]
in_leads = 2
source = "our own"
"""


def test_everything_is_read() -> None:
    protocol = parse_protocol(GOOD, "ours.toml")

    assert (protocol.title, protocol.owner, protocol.is_example) == (
        "Ward protocol",
        "Dr Ashgrove",
        False,
    )
    rate, st = protocol.rules
    assert (rate.at_most, rate.from_years, rate.sex) == (35.0, 16.0, Sex.FEMALE)
    assert (st.at_least, st.leads, st.in_leads) == (0.2, ("V2", "V3"), 2)


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("at_most = 35", 'at_most = "35"', r"line 6: at_most is '35', and a number"),
        ("at_most = 35", "at_most = true", r"line 6: at_most is True, and a number"),
        ("at_most = 35", "at_most = nan", r"line 6: at_most is nan, and a finite number"),
        ("at_most = 35", "", r"line 4: at_most is missing, and so is at_least"),
        ("at_most = 35", "at_most = 35\nat_least = 9", r"line 6: at_most stands beside at_least"),
        ('"heart_rate"', '"pulse"', r"line 5: measure is 'pulse'; choose from heart_rate"),
        ('unit = "mV"', 'unit = "uV"', r"line 15: unit is 'uV'; st_j60 is measured in 'mV'"),
        ('unit = "/min"\n', "", r"line 4: unit is missing; heart_rate is measured in '/min'"),
        ('sex = "female"', 'sex = "f"', r"line 9: sex is 'f'; choose female or male"),
        ("from_years = 16", "from_age = 16", r"line 8: from_age is not known here; known are"),
        ("from_years = 16", "from_years = 16\nbelow_years = 3", r"line 9: below_years is 3"),
        ('leads = ["V2", "V3"]\n', "", r"line 12: leads is missing; name the leads"),
        ('leads = ["V2", "V3"]', "leads = [2]", r"line 16: leads is no list of lead names"),
        ("in_leads = 2", "in_leads = 3", r"line 17: in_leads is 3; give 1 to 2 leads"),
        ('source = "our own"\n\n', "\n", r"line 4: source is missing; say where"),
        ('title = "Ward protocol"\n', "", r"line 1: title is missing"),
        ('[[rule]]\nmeasure = "heart_rate"', '[[rules]]\nmeasure = "heart_rate"', "rules is not"),
    ],
)
def test_what_is_broken_is_named_with_its_line(old: str, new: str, told: str) -> None:
    with pytest.raises(InvalidInput, match=rf"^ours\.toml.*{told}") as caught:
        parse_protocol(GOOD.replace(old, new, 1), "ours.toml")
    assert "\n" not in str(caught.value)


def test_what_is_no_toml_is_named_with_its_line() -> None:
    with pytest.raises(InvalidInput, match=r"ours\.toml is not valid TOML: .*line 5"):
        parse_protocol(GOOD.replace("measure = ", "measure ", 1), "ours.toml")


def test_protocol_without_rules_is_refused() -> None:
    with pytest.raises(InvalidInput, match="rule is missing"):
        parse_protocol('title = "Empty"', "ours.toml")
