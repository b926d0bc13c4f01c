"""What must hold of every lead, rhythm and protocol, whatever the numbers."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from couchside.errors import InvalidInput
from couchside.measures.limits_table import as_limits, find_cell, load_cells
from couchside.measures.model import MeasureName
from couchside.measures.protocol import parse_protocol
from couchside.measures.qrs_waves import LEAST_WAVE_MS, split_qrs
from couchside.measures.rhythm import MOST_LISTED, measure_rhythm
from couchside.recording import Sex
from couchside.waves.model import FloatArray
from couchside.waves.series import BeatSeries, cut_series

LEAST_UV = 20.0
samples_uv = st.lists(st.floats(-3000, 3000), min_size=30, max_size=80).map(np.array)
intervals_ms = st.lists(st.floats(200, 6000), min_size=1, max_size=80)


@given(samples=samples_uv, rate_hz=st.sampled_from([250.0, 500.0, 1000.0]))
def test_named_waves_are_waves_and_lie_within_qrs(samples: FloatArray, rate_hz: float) -> None:
    onset, offset = 4.3, len(samples) - 8.6

    named = split_qrs(samples, onset, offset, rate_hz, least_uv=LEAST_UV)

    lengths = [wave.duration_ms for wave in named.values() if wave.duration_ms is not None]
    assert sum(lengths) <= (offset - onset) * 1000.0 / rate_hz + 1e-6
    assert all(length >= LEAST_WAVE_MS - 1e-9 for length in lengths)
    for name, wave in named.items():
        if wave.amplitude_uv is not None:
            assert abs(wave.amplitude_uv) >= LEAST_UV
            assert (wave.amplitude_uv > 0) == name.startswith("R")
            assert wave.amplitude_uv in samples


@given(samples=samples_uv, gain=st.floats(1.0, 4.0))
def test_a_larger_signal_has_its_waves_as_much_larger(samples: FloatArray, gain: float) -> None:
    as_is = split_qrs(samples, 2.0, len(samples) - 3.0, 500.0, least_uv=LEAST_UV)
    larger = split_qrs(gain * samples, 2.0, len(samples) - 3.0, 500.0, least_uv=gain * LEAST_UV)

    for name, wave in as_is.items():
        other = larger[name].amplitude_uv
        if wave.amplitude_uv is None or other is None:
            assert wave.amplitude_uv is other
        else:
            assert other == pytest.approx(gain * wave.amplitude_uv)


def _series(rr_ms: list[float], groups: list[int], unknown: NDArray[np.bool_]) -> BeatSeries:
    times_s = np.concatenate(([0.0], np.cumsum(rr_ms) / 1000.0))
    return BeatSeries(
        times_s=times_s,
        groups=np.resize(np.array(groups), times_s.size),
        qrs_ms=np.resize(np.array([80.0, 150.0, np.nan]), times_s.size),
        rr_is_known=~unknown,
    )


@given(rr_ms=intervals_ms, groups=st.lists(st.integers(0, 3), min_size=1), data=st.data())
def test_rhythm_stays_within_its_intervals(
    rr_ms: list[float], groups: list[int], data: st.DataObject
) -> None:
    unknown = np.array(data.draw(st.lists(st.booleans(), min_size=len(rr_ms), max_size=len(rr_ms))))

    rhythm = measure_rhythm(_series(rr_ms, groups, unknown))

    assert sum(group.count for group in rhythm.groups) == rhythm.beat_count == len(rr_ms) + 1
    if rhythm.reason:
        assert unknown.all()
        return
    assert rhythm.shortest is not None
    assert rhythm.longest is not None
    assert rhythm.mean_rr_ms is not None
    assert rhythm.shortest.rr_ms <= rhythm.mean_rr_ms + 1e-9
    assert rhythm.mean_rr_ms <= rhythm.longest.rr_ms + 1e-9
    assert len(rhythm.notes) == min(rhythm.note_count, MOST_LISTED)
    assert rhythm.pause_count == sum(rhythm.rr_ms >= 2000.0)
    assert all(note.words for note in rhythm.notes)


@given(rr_ms=intervals_ms, start=st.floats(0, 100), length=st.floats(0, 100))
def test_cutting_a_series_loses_no_beat_inside(
    rr_ms: list[float], start: float, length: float
) -> None:
    series = _series(rr_ms, [0], np.zeros(len(rr_ms), dtype=np.bool_))

    parts = [
        cut_series(series, low, high)
        for low, high in ((-1.0, start), (start, start + length), (start + length, 1e9))
    ]

    assert sum(part.times_s.size for part in parts) == series.times_s.size


@given(
    name=st.sampled_from(list(MeasureName)), age=st.floats(0, 120), sex=st.sampled_from(list(Sex))
)
def test_limits_are_those_of_a_cell_that_fits(name: MeasureName, age: float, sex: Sex) -> None:
    cell = find_cell(name, age, sex)

    fitting = [
        each
        for each in load_cells()
        if each.name is name
        and each.from_years <= age < each.below_years
        and each.sex in {None, sex}
    ]
    assert (cell is None) == (not fitting)
    if cell is not None:
        assert cell is fitting[0]
        assert as_limits(cell).trust is cell.trust


@settings(max_examples=300)
@given(text=st.text(st.characters(codec="utf-8"), max_size=300))
def test_any_text_is_a_protocol_or_one_sentence(text: str) -> None:
    try:
        protocol = parse_protocol(text, "ours.toml")
    except InvalidInput as error:
        assert "ours.toml" in str(error)  # noqa: PT017 - either outcome is right
    else:
        assert protocol.rules


values = st.one_of(
    st.integers(-5, 5), st.floats(allow_nan=False), st.booleans(), st.text("a\"b\n'#", max_size=5)
)


@settings(max_examples=300)
@given(
    rule=st.dictionaries(
        st.sampled_from(
            ["measure", "at_most", "at_least", "unit", "source", "sex", "leads", "in_leads", "x"]
        ),
        st.one_of(values, st.lists(values, max_size=2)),
    )
)
def test_any_rule_is_taken_or_refused_in_one_line(rule: dict[str, object]) -> None:
    import tomli_w  # noqa: PLC0415 - only to write what is then read

    text = tomli_w.dumps({"title": "t", "rule": [rule]})
    with pytest.raises(InvalidInput) as caught:
        parse_protocol(text, "ours.toml")
    assert "\n" not in str(caught.value)
