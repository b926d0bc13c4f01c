"""How much may be hidden before a recording is to be taken again."""

from __future__ import annotations

import numpy as np

from couchside.quality import Finding, FindingKind, Verdict
from couchside.quality.folding import without_consequences
from couchside.quality.readable import lacks_stretch
from couchside.quality.verdict import decide, put_in_order


def test_a_clear_second_is_enough_for_a_lead() -> None:
    hidden = np.ones((2, 20), dtype=bool)
    hidden[0, 4:6] = False
    hidden[1, [3, 9]] = False
    assert lacks_stretch(hidden, 0.5).tolist() == [False, True]


def test_a_recording_of_one_window_needs_it_clear() -> None:
    assert lacks_stretch(np.array([[True], [False]]), 0.5).tolist() == [True, False]


def _finding(kind: FindingKind, asks: Verdict, leads: tuple[str, ...] = ()) -> Finding:
    return Finding(kind=kind, asks=asks, sentence="A.", remedy="", confidence=1.0, leads=leads)


def test_the_verdict_is_the_strictest_and_nothing_means_keep() -> None:
    remark = _finding(FindingKind.IDENTITY, Verdict.KEEP_WITH_REMARK)
    again = _finding(FindingKind.MAINS, Verdict.RECORD_AGAIN)
    assert decide(()) == Verdict.KEEP
    assert decide((remark,)) == Verdict.KEEP_WITH_REMARK
    assert decide((remark, again)) == Verdict.RECORD_AGAIN
    assert put_in_order((remark, again)) == (again, remark)


def test_every_kind_has_its_place_in_the_order() -> None:
    listed = [_finding(kind, Verdict.KEEP) for kind in FindingKind]
    assert len(put_in_order(listed)) == len(FindingKind)


def test_a_wrong_gain_explains_the_noise_it_magnifies() -> None:
    gain = _finding(FindingKind.AMPLITUDE, Verdict.RECORD_AGAIN)
    noise = _finding(FindingKind.MUSCLE_TREMOR, Verdict.RECORD_AGAIN)
    lost = _finding(FindingKind.LOST_CONTACT, Verdict.RECORD_AGAIN, ("V1",))
    assert without_consequences((gain, noise, lost), ("V1", "V2")) == (gain, lost)


def test_no_heartbeat_follows_from_no_signal_at_all() -> None:
    none = _finding(FindingKind.NO_HEARTBEAT, Verdict.RECORD_AGAIN)
    dead = _finding(FindingKind.LOST_CONTACT, Verdict.RECORD_AGAIN, ("I", "II"))
    assert without_consequences((none, dead), ("I", "II")) == (dead,)
    assert without_consequences((none, dead), ("I", "II", "III")) == (none, dead)
