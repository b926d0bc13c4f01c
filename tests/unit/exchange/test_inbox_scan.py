from __future__ import annotations

from collections.abc import Mapping

from hypothesis import given
from hypothesis import strategies as st

from couchside.exchange.inbox_scan import Contents, FileState, Pace, Scan, scan

PACE = Pace(settle_s=2.0, companions_s=60.0, unreadable_s=10.0)
LOOKS = {
    "ecg.dcm": Contents(is_recording=True),
    "r.hea": Contents(is_recording=True, companions=("r.dat",)),
    "many.hea": Contents(is_recording=True, companions=("one.hea", "two.hea")),
    "one.hea": Contents(is_recording=True, companions=("one.dat",)),
    "two.hea": Contents(is_recording=True, companions=("two.dat",)),
}
JUST = 1.9
THEN = 2.1


def listing(*names: str, byte_count: int = 1) -> dict[str, FileState]:
    return {name: FileState(byte_count=byte_count, modified_ns=0) for name in names}


def look(name: str) -> Contents:
    return LOOKS.get(name, Contents(is_recording=False))


def play(*steps: tuple[float, Mapping[str, FileState]]) -> list[tuple[float, tuple[str, ...]]]:
    """When which group was first ready; the shell takes what is ready out of the listing."""
    before, taken, found = Scan(), set[str](), []
    for now_s, listed in steps:
        there = {name: state for name, state in listed.items() if name not in taken}
        before = scan(there, before, now_s=now_s, look=look, pace=PACE)
        for group in before.ready:
            found.append((now_s, group.names))
            taken.update(group.names)
    return found


def test_a_file_is_taken_once_it_has_not_changed_for_a_while() -> None:
    there = listing("ecg.dcm")
    assert play((0.0, there), (JUST, there), (THEN, there)) == [(THEN, ("ecg.dcm",))]


def test_what_tells_its_end_is_taken_sooner_with_what_it_names() -> None:
    told = Contents(is_recording=True, tells_its_end=True, companions=("r.dat",))
    looks = {"r.hea": told, "t.csv": Contents(is_recording=True)}

    def look_anew(name: str) -> Contents:
        return looks.get(name, Contents(is_recording=False))

    there = listing("r.hea", "r.dat", "t.csv")
    before = scan(there, Scan(), now_s=0.0, look=look_anew, pace=PACE)
    found = []
    for now_s in (0.2, 0.4, JUST, THEN):
        before = scan(there, before, now_s=now_s, look=look_anew, pace=PACE)
        found.append([group.names for group in before.ready])
    first = [("r.hea", "r.dat")]
    assert found == [[], first, first, [*first, ("t.csv",)]]


def test_a_file_that_grows_is_waited_for() -> None:
    small, large = (listing("ecg.dcm", byte_count=count) for count in (1, 2))
    steps = [(0.0, small), (1.5, large), (3.0, large), (3.6, large)]
    assert play(*steps) == [(3.6, ("ecg.dcm",))]


def test_a_file_rewritten_at_the_same_length_is_waited_for() -> None:
    there = listing("ecg.dcm")
    touched = {"ecg.dcm": FileState(byte_count=1, modified_ns=5)}
    assert play((0.0, there), (1.5, touched), (3.0, touched)) == []


def test_a_file_that_went_and_came_is_new() -> None:
    there = listing("ecg.dcm")
    assert play((0.0, there), (1.0, {}), (THEN, there)) == []


def test_a_header_and_its_signals_are_one_group() -> None:
    there = listing("r.dat", "r.hea")
    assert play((0.0, there), (THEN, there)) == [(THEN, ("r.hea", "r.dat"))]


def test_a_header_waits_for_signals_still_being_written() -> None:
    def growing(byte_count: int) -> dict[str, FileState]:
        return listing("r.hea") | listing("r.dat", byte_count=byte_count)

    steps = [(0.0, growing(1)), (THEN, growing(2)), (4.0, growing(3)), (6.1, growing(3))]
    assert play(*steps) == [(6.1, ("r.hea", "r.dat"))]


def test_signals_wait_for_their_header() -> None:
    alone, both = listing("r.dat"), listing("r.dat", "r.hea")
    steps = [(0.0, alone), (30.0, alone), (40.0, both), (42.1, both)]
    assert play(*steps) == [(42.1, ("r.hea", "r.dat"))]


def test_a_header_whose_signals_never_come_is_taken_alone_in_the_end() -> None:
    there = listing("r.hea")
    steps = [(0.0, there), (THEN, there), (59.9, there), (60.1, there)]
    assert play(*steps) == [(60.1, ("r.hea",))]


def test_what_no_reader_knows_is_taken_in_the_end() -> None:
    there = listing("letter.txt")
    assert play((0.0, there), (59.9, there), (60.1, there)) == [(60.1, ("letter.txt",))]


def test_headers_that_refer_to_headers_are_one_group() -> None:
    names = ("many.hea", "one.dat", "one.hea", "two.dat", "two.hea")
    there = listing(*names)
    expected = ("many.hea", "one.hea", "two.hea", "one.dat", "two.dat")
    assert play((0.0, there), (THEN, there)) == [(THEN, expected)]


def test_several_recordings_are_ready_at_once() -> None:
    there = listing("ecg.dcm", "r.hea", "r.dat")
    ready = play((0.0, there), (THEN, there))
    assert ready == [(THEN, ("ecg.dcm",)), (THEN, ("r.hea", "r.dat"))]


def test_a_group_is_as_young_as_its_youngest_file() -> None:
    header, both = listing("r.hea"), listing("r.hea", "r.dat")
    before = scan(header, Scan(), now_s=0.0, look=look, pace=PACE)
    before = scan(both, before, now_s=20.0, look=look, pace=PACE)
    (group,) = scan(both, before, now_s=25.0, look=look, pace=PACE).ready
    assert group.unchanged_s == 5.0


NAMES = st.sampled_from(["ecg.dcm", "r.hea", "r.dat", "letter.txt", "many.hea", "one.hea"])
SNAPSHOTS = st.dictionaries(
    NAMES, st.builds(FileState, byte_count=st.integers(0, 2), modified_ns=st.just(0))
)


@given(st.lists(st.tuples(st.floats(0.1, 50.0), SNAPSHOTS), max_size=12))
def test_whatever_happens_no_file_is_ready_twice_or_while_it_changes(
    steps: list[tuple[float, dict[str, FileState]]],
) -> None:
    now_s, before = 0.0, Scan()
    unchanged_since: dict[str, float] = {}
    states: dict[str, FileState] = {}
    for wait_s, listed in steps:
        now_s += wait_s
        unchanged_since = {
            name: unchanged_since[name] if states.get(name) == state else now_s
            for name, state in listed.items()
        }
        states = listed
        before = scan(listed, before, now_s=now_s, look=look, pace=PACE)
        ready = [name for group in before.ready for name in group.names]
        assert len(ready) == len(set(ready))
        assert all(now_s - unchanged_since[name] >= PACE.settle_s for name in ready)
