"""Every number that the check turns on, with where it comes from.

A source key stands in docs/references.md. "Fitted" means chosen by
``python -m benchmarks quality fit`` on the records of even index of CinC 2011; "chosen on …" names
other data on which it was chosen; docs/validation.md reports on the rest. "By design" is a
decision that no data was asked about.
"""

from __future__ import annotations

from couchside.quality.model import FindingKind

# -- how finely time is looked at (by design) -----------------------------------------------------
WINDOW_S = 0.5
"""Length of a window in which noise is weighed: about half a beat."""

# -- bands, in Hz: where wander, movement and muscle have most of their power [Moody1984] ---------
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
MAINS_RATIO = 8.0
"""How far the line's power density must stand above that beside it to count as mains (by design:
the largest of twelve leads of white noise stays under 3)."""

# -- the heart is set aside where noise is weighed (by design, from usual lengths of waves) --------
QRS_BEFORE_S = 0.07
QRS_AFTER_S = 0.10
QRS_MARGIN_S = 0.02
BEAT_BEFORE_S = 0.28
BEAT_AFTER_S = 0.52
T_ENDS_S = 0.40
TAPER_S = 0.06
CUT_BEAT_S = 0.15
MIN_BEATS_FOR_TEMPLATE = 3
MAX_BEATS_FOR_TEMPLATE = 40
MOST_BEATS_ALONE = 0.35
"""With more beats than this unlike any other, it is noise that makes them unlike."""
FAULTY_BEAT_SHARE = 0.85
"""One electrode explains so much of the difference from the usual beat: a fault, not the heart."""

# -- no signal at all -----------------------------------------------------------------------------
FLAT_RANGE_UV = 15.0
"""Three steps of the coarsest lawful resolution, 5 µV [IEC60601-2-25]: less is no ECG."""
FLAT_RUN_S = 1.5
"""Shorter, a still stretch may be the pause between two beats."""
SATURATED_HOLD_S = 0.04
"""A heart holds no level for so long at the very end of its range (by design)."""
SATURATED_AWAY_UV = 1500.0
RAIL_UV = 10000.0
"""A level that no resting ECG reaches: twice the input range of ±5 mV [IEC60601-2-25]."""
CUT_SAMPLES = 3
CUT_FALL_STEPS = 6.0
"""By design: a parabola within a step for three samples falls by 2.8 steps with the next."""
CUT_BEATS = 3
"""A single tall beat at the end of the range leaves the others to be read (by design)."""
LEAST_STEP_UV = 0.01
"""Finer differences are the rounding of lead formulas and no step of any recorder."""
CUT_CONFIDENCE = 0.9
LOST_SHARE = 0.3
"""A lead at the limit for less of the time is driven there and back, not lost (by design)."""
MOST_LEADS = 0.5
"""With so many leads gone, noise in the others is not told (by design)."""
FEWEST_LEADS_FOR_LIMB = 6
LIMB_PATTERN_SHARE = 0.8
DEAD_CONFIDENCE = 0.95
"""That there is no signal is certain; that it is the electrode and not the cable is not."""
FLOATING_UV = {
    FindingKind.MOVEMENT: 4000.0,
    FindingKind.WANDER: 8000.0,
    FindingKind.MUSCLE_TREMOR: 2000.0,
    FindingKind.LIMB_TREMOR: 4000.0,
    FindingKind.MAINS: 700.0,
}
"""Noise of one electrode beyond this is told as an open input. By design; for mains it is twice
the 1 mV peak to peak that a recorder may show at worst while every electrode has contact [EC11]."""

# -- noise by kind, µV: rms in a window; for jumps the change of level -----------------------------
STEP_RISE_S = 0.04
STEP_SHARP_S = 0.012
STEP_SHARPNESS = 1.8
"""A step of 5 ms changes by more than half of its height in 12 ms; 5 Hz by a third as much."""
STEP_LEVEL_S = 0.02
STEP_CALM_S = 0.15
STEP_HIDDEN_S = 0.3
STEP_OVER_UNREST = 1.5
"""A QRS hides a jump within it; the change over it counts where the level before it moved less."""
STEP_OVER_TREMOR = 3.0
"""Means over 30 ms of random noise seldom differ by so many times its rms."""
AFTERMATH_WINDOWS = 4
NOTICED_UV = {
    FindingKind.POP: 300.0,
    FindingKind.MOVEMENT: 150.0,
    FindingKind.WANDER: 400.0,
    FindingKind.MUSCLE_TREMOR: 30.0,
    FindingKind.LIMB_TREMOR: 28.0,
    FindingKind.MAINS: 20.0,
}
"""Mains: 57 µV peak to peak; tremor: a little over the 25 µV rms under which IEC60601-2-25 asks
measurements to stand; wander: 1.1 mV peak to peak of a slow sine. The others by design."""
NOTICED_SHARE = 0.15
"""Share of a lead's windows in which noise must be noticed before it is mentioned (by design)."""
HIDES_UV = {
    FindingKind.POP: 400.0,
    FindingKind.MOVEMENT: 800.0,
    FindingKind.WANDER: 2500.0,
    FindingKind.MUSCLE_TREMOR: 140.0,
    FindingKind.MAINS: 75.0,
}
"""A window with more is hidden. Fitted: of values within one record of the best the middle one, the
higher of two. But for jumps: there the fit takes 900 today, two records of 155 better, and 400
stands by design, a jump under which P and T of usual height are lost."""

# -- when noise becomes a repeat -------------------------------------------------------------------
CLEAR_STRETCH_S = 1.0
"""A lead without so long a stretch shows not one whole beat (by design)."""
HIDDEN_LEADS = 0.96
"""Sum over the leads of the share of time that is hidden: about one lead for all of it (fitted)."""
HIDDEN_SHARE = 0.15

# -- hard to read as a whole -----------------------------------------------------------------------
UNREADABLE_NOTICED = 0.5
"""From here on it is told (by design: more likely than not)."""
UNREADABLE_PROBABILITY = 0.7
"""From here on a repeat is asked for: by design above the even odds at which accuracy on the
challenge is best, for a service has about 1 % unacceptable recordings and the challenge 20 %."""

# -- what noise hides, as peak to peak over rms and as a share of the wave's own height -----------
PEAK_TO_PEAK_OVER_RMS = 4.0
"""Random noise stays within ±2 rms for 95 % of the time."""
P_HIDDEN_SHARE = 1.0
QRS_HIDDEN_SHARE = 0.5
WANDER_ST_SHARE = 0.27
"""A sway of 0.25 Hz, a slow breath, moves the level by so much of its rms in the 0.17 s from PR to
ST (computed: 2π · 0.25 · 0.17)."""
ST_SHIFT_UV = 100.0
"""One millimetre, the least shift that criteria of ST speak of [Thygesen2018, from memory]."""
MEASURES_HIDDEN_SHARE = 0.7
"""With less of the time, enough beats are left to measure by (by design)."""
LEADS_FOR_MEASURE = 0.6
"""With more of its leads lost, a measure of the whole rests on too few (by design)."""
USUAL_T_UV = 250.0
USUAL_P_UV = 100.0
USUAL_QRS_UV = 1000.0
"""Taken where no wave was measured (usual heights, from memory)."""
SMALLEST_P_UV = 50.0
"""A flatter P is not read in that lead anyway; it must not make every noise count."""

# -- which electrode (by design, checked with faults put in at electrodes) -------------------------
LEAST_SHARE = (1.0, 0.6, 0.75, 0.85)
"""Share of the noise power that no, one, two, three electrodes must explain to be named."""
LEAST_GAIN = 0.08
LEAST_OF_REST = 0.5
"""An electrode that adds less to that share, and less of what the others leave, is not blamed with
them."""
LEAST_MARGIN = 0.1
"""The next best choice must explain so much less; else it cannot be told which."""
DOUBT_POWER = 2.5
"""Of the margin, on 293 findings of faults put into the even half of the clean and of the noisy
recordings, one of them wrong: of powers about as likely as the best one, 3, the one that doubts
most (``python -m benchmarks quality fit-confidence``)."""
MOST_SURE = 0.99
"""So few of these findings are wrong that more cannot be shown."""
TRACED_UV = {FindingKind.MOVEMENT: 90.0, FindingKind.WANDER: 250.0}
"""From here on, movement and wander are noticed too where one electrode surely explains them: the
heart never comes from one electrode (chosen on the even half of the clean recordings)."""
FAINT_SHARE = 0.85
FAINT_MARGIN = 0.5
TRACED_SHARE = 0.5
"""An electrode is at fault in a window with this share of its largest noise, if not noticed."""
MOST_WINDOWS_BLAMED = 60
BLAMED_WINDOWS = 0.7
"""Electrodes at fault by turns must between them explain so many of the windows (by design)."""
IN_STEP_SHARE = 0.9
LIFTED_SHARE = 0.25
FEWEST_LIFTED = 4
"""One wave at so many electrodes, more than may be at fault together: the body itself carries the
mains (by design)."""
RIGHT_LEG_CONFIDENCE = 0.6
"""The room may drive so much into a body that every electrode holds (by design)."""
SHAKING_HZ = (3.7, 7.5)
SHAKING_AMONG_HZ = (2.0, 14.0)
SHAKING_HALF_WIDTH_HZ = 1.0
SHAKING_STRETCH_S = 5.0
SHAKING_SHARE = (0.6, 0.85)
SHAKING_FIT = (1.0, 0.84, 0.95, 1.0)
SHAKING_UV = 20.0
SHAKING_LASTS = 0.7
"""A limb shakes nearly all the time; movement and a few jumps may have a line for a while."""
"""By the number of limbs that shake: two explain more of anything than one does."""
"""Rest tremor has 4 to 6 turns a second (from memory) and never quite the same; its line and the
double of it must hold so much of the power near by (by design)."""
DOUBTFUL = 0.5
"""Parts of beats that a noise left may look as if they came from some electrode, but not surely."""
BY_TURNS_SHARE = 0.6
"""Mains of one electrode in no more of the windows comes and goes: its contact does."""
TREMOR_BRINGS = {FindingKind.MOVEMENT: 1.6, FindingKind.WANDER: 1.6, FindingKind.POP: 6.0}
"""Times the rms of a shaking limb that its electrode may move or jump along with it (by design)."""
POP_BRINGS = frozenset({FindingKind.MOVEMENT, FindingKind.WANDER, FindingKind.MUSCLE_TREMOR})
COVERED_SHARE = 0.7
"""Of its windows: noise of no electrode is part of an electrode's noise that covers so many."""
LEAST_FIT = 0.6
"""Less than this share of the noise explained by all electrodes together: cannot tell which."""
CULPRIT_SHARE = 0.4
"""An electrode is listed with the strongest when it has this share of its noise (rms)."""
CULPRIT_LEVEL = 0.8
"""Share of what is noticed that must be left over for one more electrode to be looked for."""
MOST_CULPRITS = 3
TOUCHED_SHARE = 0.3
"""Leads with less than this of the noise are not listed: a limb electrode has 1/3 in V1–V6."""
FAST_RR_S = 0.5
"""120 beats/min; faster, wide beats run into each other and leave what looks like movement."""

# -- is there a heart, and is the gain believable ------------------------------------------------
FEWEST_BEATS = 2
HEIGHT_PERCENTILES = (1.0, 99.0)
"""Leaves out pacing spikes, which take 1 to 3 samples of the beat."""
LARGEST_USUAL_QRS_UV = 3700.0
"""Beat height in the middle lead of all; the largest true one of the open recordings is 3.3 mV."""
SMALLEST_QRS_UV = 100.0
"""The largest beat of all leads; a fifth of what is called low voltage in limb leads alone."""
BEAT_OVER_RESIDUAL = 5.0
"""Beats that stand out less from what is left without them say nothing about the gain."""

# -- do the limb leads add up ----------------------------------------------------------------------
DISAGREEMENT_UV = 10.0
"""Floor of the tolerance: twice the coarsest lawful step, for files that state no resolution. Sums
of the open recordings, each lead about its mean, stay within 2.5 µV in 98 of 100."""
DISAGREEING_SHARE = 0.01
IDENTITY_CONFIDENCE = 0.95
"""By design: one mistake alone undoes the disagreement at every sample, but it may be two."""

# -- is a chest lead a copy of another lead --------------------------------------------------------
COPY_DELAY_S = 0.025
COPY_LEAST_UV = 20.0
"""A lead with less, rms, holds too little to tell a copy by (by design)."""
COPY_STEP_UV = 1.0
"""Taken where the file states no resolution."""
COPY_OVER_ROUNDING = 1.5
"""How far two leads may differ, rms, over what the rounding of both alone makes: it is 1 for a
copy, and 3 for the two leads that are most alike on the odd records of the open recordings."""

# -- settings [AHA2007-I, IEC60601-2-25] -----------------------------------------------------------
RATE_HZ = 500.0
LOWEST_RATE_HZ = 200.0
"""The least that the standard for 12-lead objects allows [DICOM-PS3.3]."""
RESOLUTION_UV = 5.0
HIGH_PASS_HZ = 0.05
LOW_PASS_HZ = 150.0
STRONG_LOW_PASS_HZ = 40.0
LENGTH_S = 10.0
LENGTH_SLACK_S = 0.1
SHORTEST_S = 5.0
"""Fewer than four beats at 48 beats/min, the lower limit of usual rates [Mason2007]."""

# -- was a low-pass filter on, whatever the file says ----------------------------------------------
FILTERED_LOW_HZ = (25.0, 35.0)
FILTERED_HIGH_HZ = (70.0, 95.0)
"""On either side of 40 Hz, and free of 50 and 60 Hz and their doubles."""
FILTERED_SIGNS = ((-26.0, 35.0), (-31.0, 40.0))
"""A fall deeper than so many dB counts where the noise between the beats is slower than so many Hz.
Chosen on the odd records of LUDB, PTB-XL and CinC 2020, with and without filters put in: the
deepest fall of those of the first two is 26.1 dB, and those with more than 24 have noise of 38 Hz
or more."""
FILTERED_CONFIDENCE = 0.8
"""By design; another kind of recorder may be smoother than those of the open recordings."""

# -- was a high-pass filter on, whatever the file says ---------------------------------------------
CLIMB_LIKENESS = 0.8
CLIMB_EDGE_HZ = 0.15
"""Chosen on the same records: of 150 that can be judged as they are, the two most alike with edges
over 0.15 Hz reach 0.70 and 0.69."""
CLIMB_CONFIDENCE = 0.7
"""By design; a U wave of its own in every lead could look the same."""

# -- do V1 and V2 sit too high ---------------------------------------------------------------------
P_UPRIGHT_UV = 5.0
"""P in V1 is wholly negative where no quarter of it is as high as this, in the mean."""
P_DIP_UV = 25.0
"""How low a quarter of P must lie in V1 and in V2; the least in steps of 5 µV with which not more
than one in twenty recordings of the fitting half is remarked on."""
ADULT_YEARS = 18.0
"""Children keep T and P forms of their own in V1 and V2 (from memory)."""
WIDE_QRS_S = 0.120
"""From here on the conduction is not usual [AHA2009-III]."""
