"""The figures of findings to which a row of the policy may set a bound, and what each says."""

from __future__ import annotations

FIGURES = {
    "share_of_time": "share of the recording in which it is there, 0 to 1",
    "lead_count": "leads in which it shows; of a recording with leads missing, leads that it has",
    "unreadable_leads": "leads that cannot be read and in which this takes part",
    "unreadable_probability": "how likely readers are to call the recording unacceptable, 0 to 1",
    "may_be_the_heart": "1 where the heart itself may look like this, else 0",
    "probability": "how likely this is among all arrangements of the cables, 0 to 1",
    "open_input_share": "share of the time in which an electrode's input is open, 0 to 1",
    "wander_rms_uv": "baseline wander at the electrode or in the worst lead, µV rms",
    "mains_rms_uv": "mains interference, likewise",
    "tremor_rms_uv": "muscle tremor, likewise",
    "limb_tremor_rms_uv": "tremor of a limb, likewise",
    "movement_rms_uv": "movement, likewise",
    "largest_jump_uv": "height of the largest jump, µV",
    "share_explained_by_electrodes": "share of the noise that the electrodes named explain",
    "limit_uv": "level at which beats are cut off, µV",
    "rate_hz": "samples per second",
    "duration_s": "length of the recording, s",
    "resolution_uv": "step of the stored samples, µV",
    "high_pass_hz": "edge of the high-pass filter, Hz",
    "low_pass_hz": "edge of the low-pass filter, Hz",
    "high_frequency_db": "power at 70 to 95 Hz over that at 25 to 35 Hz, dB",
    "climb_likeness": "how like the line between beats is to a high-pass filter's trace, -1 to 1",
    "largest_difference_uv": "how far limb leads are from what I and II give, µV",
    "share_of_samples": "share of the samples in which they are, 0 to 1",
    "missing_of_its_own": "missing leads that do not follow from I and II",
    "missing_fields": "things that the file does not say of the person",
    "beats": "beats found",
}
