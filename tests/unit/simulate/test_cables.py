from __future__ import annotations

import pytest

from couchside.errors import InvalidInput
from couchside.recording import ColourCode, Electrode
from couchside.simulate import exchange, same_colour_exchanges
from couchside.simulate.cables import check_cables


@pytest.mark.parametrize(
    ("code", "pairs"),
    [
        (ColourCode.IEC, {("RA", "C1"), ("LA", "C2"), ("LL", "C3"), ("RL", "C5")}),
        (ColourCode.AHA, {("LL", "C1"), ("RL", "C3")}),
    ],
)
def test_limb_and_chest_cables_share_colours_by_the_code(
    code: ColourCode, pairs: set[tuple[str, str]]
) -> None:
    """IEC: red, yellow, green, black. AHA: red and green; white and black stand on no chest cable
    there, nor does brown tell any from another."""
    found = {tuple(str(cable) for cable in cables) for cables in same_colour_exchanges(code)}
    assert found == pairs


def test_two_cables_on_one_electrode_are_refused() -> None:
    with pytest.raises(InvalidInput, match="two cables or none"):
        check_cables({Electrode.RA: Electrode.LA})


def test_an_exchange_undoes_itself() -> None:
    cables = exchange(Electrode.C1, Electrode.LL)
    assert {cables[cables[cable]] for cable in cables} == set(cables)
