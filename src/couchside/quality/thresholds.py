"""Every number that the check turns on, with where it comes from.

"fitted" means: chosen by ``python -m benchmarks.quality fit`` on one half of the open recordings
and reported on the other half in docs/validation.md.
"""

from __future__ import annotations

from couchside.quality.model import FindingKind

# -- how finely time is looked at ---------------------------------------------------------------
WINDOW_S = 0.5
"""Length of a window in which noise is weighed: about half a beat."""

# -- bands, in Hz [facts of noise spectra: Moody1984, Clifford2012] -------------------------------
WANDER_BAND_HZ = (0.0, 0.6)
MOVEMENT_BAND_HZ = (0.9, 16.0)
MUSCLE_BAND_HZ = (28.0, 140.0)
WANDER_EDGE_HZ = 0.3
MOVEMENT_EDGE_HZ = 6.0
MUSCLE_LOW_EDGE_HZ = 12.0
MUSCLE_HIGH_EDGE_HZ = 20.0
"""Widths of the edges: narrower ones ring past the QRS, wider ones mix the bands."""
MAINS_HZ = (50.0, 60.0)
MAINS_HALF_WIDTH_HZ = 0.7
MAINS_NEIGHBOURS_HZ = 4.0
"""How far from the mains line the background is taken that the line must stand above."""

# -- QRS is set aside where noise is weighed ------------------------------------------------------
QRS_BEFORE_S = 0.07
QRS_AFTER_S = 0.10
BEAT_BEFORE_S = 0.28
BEAT_AFTER_S = 0.52
MIN_BEATS_FOR_TEMPLATE = 3
MAX_BEATS_FOR_TEMPLATE = 40
FAULTY_BEAT_SHARE = 0.85
"""One electrode explains so much of the difference from the usual beat: a fault, not the heart."""
T_ENDS_S = 0.40
TAPER_S = 0.06
MOST_BEATS_ALONE = 0.35
"""With more beats than this unlike any other, it is noise that makes them unlike."""
QRS_MARGIN_S = 0.02
CUT_BEAT_S = 0.15
MAINS_RATIO = 8.0
"""How far the line's power density stands above that beside it before it counts as mains."""

# -- no signal at all -----------------------------------------------------------------------------
FLAT_RANGE_UV = 15.0
"""Three steps of the coarsest lawful resolution, 5 µV [IEC60601-2-25]: less is no ECG."""
SATURATED_HOLD_S = 0.04
SATURATED_AWAY_UV = 1500.0
RAIL_UV = 10000.0
"""A level that no resting ECG reaches: twice the input range of ±5 mV [IEC60601-2-25]."""

# -- noise by kind, µV: rms in a window of 0.5 s; for pops the jump over 20 ms ---------------------
STEP_RISE_S = 0.04
STEP_SHARP_S = 0.012
STEP_SHARPNESS = 1.8
"""A step of 5 ms changes by more than half of its height in 12 ms; 5 Hz by a third as much."""
STEP_OVER_TREMOR = 3.0
"""Random noise seldom changes by more than 4 times its rms from one moment to the next."""
AFTERMATH_WINDOWS = 4
NOTICED_UV = {
    FindingKind.POP: 300.0,
    FindingKind.MOVEMENT: 150.0,
    FindingKind.WANDER: 400.0,
    FindingKind.MUSCLE_TREMOR: 30.0,
    FindingKind.MAINS: 20.0,
}
HIDES_UV = {
    FindingKind.POP: 400.0,
    FindingKind.MOVEMENT: 800.0,
    FindingKind.WANDER: 2500.0,
    FindingKind.MUSCLE_TREMOR: 140.0,
    FindingKind.MAINS: 75.0,
}
"""Fitted: CinC 2011, even half, in coarse steps; see docs/validation.md."""

# -- when noise becomes a finding, and a finding a repeat --------------------------------------
NOTICED_SHARE = 0.15
"""Share of a lead's windows in which noise must be noticed before it is mentioned."""
CLEAR_STRETCH_S = 1.0
"""A lead without so long a stretch shows not one whole beat (fitted, CinC 2011, even half)."""
HIDDEN_LEADS = 0.96
"""Sum over the leads of the share of time that is hidden: about one lead of twelve for all of the
time (fitted, CinC 2011, even half)."""
HIDDEN_SHARE = 0.15

# -- do the limb leads add up ----------------------------------------------------------------------
DISAGREEMENT_UV = 10.0
"""Floor of the tolerance: twice the coarsest lawful step, for files that state no resolution."""
DISAGREEING_SHARE = 0.01

# -- settings [AHA2007-I, IEC60601-2-25; from memory where docs/references.md says so] -------------
RATE_HZ = 500.0
LOWEST_RATE_HZ = 100.0
"""Below this the QRS (up to 40 Hz) is no longer sampled more than twice a cycle."""
RESOLUTION_UV = 5.0
HIGH_PASS_HZ = 0.05
LOW_PASS_HZ = 150.0
STRONG_LOW_PASS_HZ = 40.0
LENGTH_S = 10.0
LENGTH_SLACK_S = 0.1
SHORTEST_S = 5.0
"""Half of a page of 6×2; fewer than four beats at 48 beats/min [Mason2007]."""

# -- which electrode -------------------------------------------------------------------------------
LEAST_SHARE = (1.0, 0.6, 0.75, 0.85)
"""Share of the noise power that no, one, two, three electrodes must explain to be named."""
LEAST_GAIN = 0.08
"""An electrode that adds less to that share is not blamed with the others."""
LEAST_MARGIN = 0.1
"""The next best choice must explain so much less; else it cannot be told which."""
COVERED_SHARE = 0.7
"""Of its windows: noise of no electrode is part of an electrode's noise that covers so many."""
LEAST_FIT = 0.6
"""Less than this share of the noise explained by electrodes: cannot tell which."""
CULPRIT_SHARE = 0.4
"""An electrode is blamed with the strongest when it has this share of its noise (rms)."""
CULPRIT_LEVEL = 0.8
MOST_CULPRITS = 3
TOUCHED_SHARE = 0.3
"""Leads with less than this of the noise are not listed: a limb electrode has 1/3 in V1–V6."""

# -- lost contact ----------------------------------------------------------------------------------
DEAD_CONFIDENCE = 0.95
"""That there is no signal is certain; that it is the electrode and not the cable is not."""
FLOATING_UV = {
    FindingKind.POP: 8000.0,
    FindingKind.MOVEMENT: 4000.0,
    FindingKind.WANDER: 8000.0,
    FindingKind.MUSCLE_TREMOR: 2000.0,
    FindingKind.MAINS: 700.0,
}
"""Noise of one electrode beyond this is an open input: more than any skin, muscle or cable brings
in (20 mV of half-cell potential step at most; 1 mV p-v of mains is the lawful limit [EC11])."""
LOST_SHARE = 0.3
"""A lead at the limit for less of the time is driven there and back, not lost."""
FEWEST_LEADS_FOR_LIMB = 6
LIMB_PATTERN_SHARE = 0.8
FLAT_RUN_S = 1.5
"""Shorter, a still stretch may be the pause between two beats."""

# -- what noise hides, as peak to peak over rms and as a share of the wave's own height -----------
PEAK_TO_PEAK_OVER_RMS = 4.0
"""Random noise stays within ±2 rms for 95 % of the time."""
USUAL_P_UV = 100.0
"""Taken where no P wave was measured: mains of 0.05–0.1 mV obscures P (from memory)."""
USUAL_QRS_UV = 1000.0
P_HIDDEN_SHARE = 1.0
QRS_HIDDEN_SHARE = 0.5

REMARK_UV = {
    FindingKind.POP: 500.0,
    FindingKind.MOVEMENT: 200.0,
    FindingKind.WANDER: 600.0,
    FindingKind.MUSCLE_TREMOR: 45.0,
    FindingKind.MAINS: 35.0,
}
"""From here on the reader is told; below, only where it hides a wave for `LASTING_SHARE`."""
LASTING_SHARE = 0.3

# -- is there a heart, and is the gain believable ------------------------------------------------
FEWEST_BEATS = 2
FAST_RR_S = 0.5
"""120 beats/min; faster, wide beats run into each other and leave what looks like movement."""
HEIGHT_PERCENTILES = (1.0, 99.0)
"""Leaves out pacing spikes, which take 1 to 3 samples of the beat."""
LARGEST_USUAL_QRS_UV = 3700.0
"""Beat height in the middle lead of all; the largest true one of the open recordings is 3.3 mV."""
BEAT_OVER_RESIDUAL = 5.0
"""Beats that stand out less from what is left without them say nothing about the gain."""
SMALLEST_QRS_UV = 100.0
"""Every lead under 0.1 mV: less than a fifth of what is called low voltage [Madias2008]."""
SMALLEST_P_UV = 50.0
"""A flatter P is not read in that lead anyway; it must not make every noise count."""

# -- cables exchanged ------------------------------------------------------------------------------
CABLE_BEATS = 3
FLAT_LIMB_UV = 100.0
"""Rudiger2007: less than 0.1 mV in one limb lead alone."""
FLAT_LIMB_SHARE = 0.15
SURE_P_UV = 15.0
MIRRORED_LIKENESS = 0.4
"""Both chosen for no false alarm on every second of LUDB, PTB-XL and CinC 2020 samples."""
EXCHANGE_CONFIDENCE = 0.9
FLAT_LEAD_CONFIDENCE = 0.9
"""With 1 % of recordings exchanged, at the rates of docs/validation.md."""
