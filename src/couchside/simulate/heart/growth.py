"""What is usual at an age: rate, intervals, axis, and how much the right ventricle still leads.

Children: medians and 2nd to 98th centiles after [Rijnbeek2001, from memory], of boys and girls
together. Adults: set so that a mixed population meets the 2nd and 98th centiles of 46,129 low-risk
adults [Mason2007]: rate 48–98 /min, PR 113–212 ms, QRS 69–109 ms, QTcF 359–445 ms, axis −40…+91°.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from couchside.recording import Sex

ADULT_YEARS = 18.0

_Z98 = 2.054

_AGE_YEARS = (0.04, 0.17, 0.375, 0.75, 2.0, 4.0, 6.5, 10.0, 14.0)
_RATE = (157.0, 153.0, 136.0, 131.0, 123.0, 100.0, 88.0, 79.0, 74.0)
_RATE_LOW = (132.0, 126.0, 117.0, 106.0, 96.0, 76.0, 65.0, 57.0, 51.0)
_PR = (100.0, 98.0, 106.0, 111.0, 115.0, 122.0, 126.0, 131.0, 137.0)
_PR_HIGH = (120.0, 127.0, 130.0, 137.0, 149.0, 152.0, 158.0, 168.0, 177.0)
_QRS = (67.0, 64.0, 65.0, 66.0, 69.0, 73.0, 78.0, 83.0, 89.0)
_QRS_HIGH = (82.0, 77.0, 81.0, 83.0, 86.0, 90.0, 96.0, 101.0, 108.0)
_AXIS = (103.0, 84.0, 68.0, 67.0, 66.0, 70.0, 72.0, 68.0, 65.0)
_AXIS_SD = (17.0, 22.0, 23.0, 25.0, 29.0, 25.0, 26.0, 30.0, 27.0)
_QTCB = (416.0, 421.0, 420.0, 412.0, 414.0, 413.0, 410.0, 410.0, 410.0)
_QTCB_SD = (18.0, 16.0, 16.0, 17.0, 17.0, 16.0, 18.0, 18.0, 20.0)

_RIGHT_LEADS_AT = (0.0, 0.1, 0.25, 0.5, 1.0, 3.0, 8.0, 14.0)
_RIGHT_LEADS = (1.0, 0.95, 0.75, 0.58, 0.45, 0.28, 0.10, 0.0)
_T_OF_CHILD_AT = (0.0, 0.01, 0.03, 8.0, 12.0, 17.0)
_T_OF_CHILD = (0.1, 0.2, 1.0, 1.0, 0.55, 0.0)
"""T in V1 is upright in the first days, then inverted until the second decade [from memory]."""

_SIZE_AT = (0.0, 1.0, 5.0, 10.0, 15.0, 18.0)
_SIZE = (0.38, 0.52, 0.66, 0.80, 0.95, 1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Usual:
    """Centre and spread (standard deviation; of the logarithm where it says so) at an age.

    `axis_skew_deg` bends the axis distribution towards the left.
    """

    rate_per_min: float
    log_rate_sd: float
    pr_ms: float
    log_pr_sd: float
    qrs_ms: float
    qrs_sd_ms: float
    qtcf_ms: float
    qtc_sd_ms: float
    axis_deg: float
    axis_sd_deg: float
    axis_skew_deg: float
    p_ms: float
    sinus_arrhythmia_ms: float
    right_share: float
    child_t_share: float
    torso_size: float


def usual_at(age_years: float, sex: Sex) -> Usual:
    """What is usual for a person.

    Parameters
    ----------
    age_years : float
        0 to 110.
    sex : Sex
        Sexes other than female and male take the mean of the two.
    """
    return _adult(age_years, sex) if age_years >= ADULT_YEARS else _child(age_years)


def _adult(age_years: float, sex: Sex) -> Usual:
    decades = (age_years - 50.0) / 10.0
    return Usual(
        rate_per_min=68.6 * _by_sex(sex, 1.02, 0.98),
        log_rate_sd=0.155,
        pr_ms=154.8 * (1.0 + 0.012 * decades),
        log_pr_sd=0.147,
        qrs_ms=_by_sex(sex, 86.0, 92.6),
        qrs_sd_ms=9.2,
        qtcf_ms=_by_sex(sex, 406.0, 395.0) + 1.2 * decades,
        qtc_sd_ms=19.0,
        axis_deg=38.0 - 6.0 * decades,
        axis_sd_deg=29.5,
        axis_skew_deg=4.0,
        p_ms=103.0,
        sinus_arrhythmia_ms=max(5.0, 58.0 - 0.75 * age_years),
        right_share=0.0,
        child_t_share=0.0,
        torso_size=1.0,
    )


def _child(age_years: float) -> Usual:
    rate, rate_low = _at(age_years, _RATE), _at(age_years, _RATE_LOW)
    pr, pr_high = _at(age_years, _PR), _at(age_years, _PR_HIGH)
    qrs, qrs_high = _at(age_years, _QRS), _at(age_years, _QRS_HIGH)
    rr_s = 60.0 / rate
    return Usual(
        rate_per_min=rate,
        log_rate_sd=float(np.log(rate / rate_low)) / _Z98 * 0.9,
        pr_ms=pr,
        log_pr_sd=float(np.log(pr_high / pr)) / _Z98,
        qrs_ms=qrs,
        qrs_sd_ms=(qrs_high - qrs) / _Z98,
        qtcf_ms=_at(age_years, _QTCB) * rr_s ** (1.0 / 6.0),
        qtc_sd_ms=_at(age_years, _QTCB_SD) * rr_s ** (1.0 / 6.0),
        axis_deg=_at(age_years, _AXIS),
        axis_sd_deg=_at(age_years, _AXIS_SD) * 0.95,
        axis_skew_deg=0.0,
        p_ms=float(np.interp(age_years, (0.0, 1.0, 16.0), (64.0, 72.0, 98.0))),
        sinus_arrhythmia_ms=float(
            np.interp(age_years, (0.0, 1.0, 5.0, 9.0, 18.0), (6.0, 12.0, 40.0, 60.0, 45.0))
        ),
        right_share=float(np.interp(age_years, _RIGHT_LEADS_AT, _RIGHT_LEADS)),
        child_t_share=float(np.interp(age_years, _T_OF_CHILD_AT, _T_OF_CHILD)),
        torso_size=float(np.interp(age_years, _SIZE_AT, _SIZE)),
    )


def _at(age_years: float, values: tuple[float, ...]) -> float:
    return float(np.interp(age_years, _AGE_YEARS, values))


def _by_sex(sex: Sex, female: float, male: float) -> float:
    return {Sex.FEMALE: female, Sex.MALE: male}.get(sex, (female + male) / 2.0)
