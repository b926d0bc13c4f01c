"""Who was recorded, as far as the file says."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum


class Sex(StrEnum):
    """Sex as stated with the recording; limits depend on it."""

    FEMALE = "female"
    MALE = "male"
    OTHER = "other"
    NOT_STATED = "not stated"


@dataclass(frozen=True, slots=True, kw_only=True)
class Patient:
    """Who was recorded; an empty text or None means that the file does not say.

    Parameters
    ----------
    identifier : str
        The patient number that the department files under.
    family_name, given_name : str
        Names as written.
    birth_date : date or None
        Date of birth.
    stated_age_years : float or None
        Age as the file states it; used only where there is no date of birth.
    sex : Sex
        Sex as stated.
    """

    identifier: str = ""
    family_name: str = ""
    given_name: str = ""
    birth_date: date | None = None
    stated_age_years: float | None = None
    sex: Sex = Sex.NOT_STATED

    @property
    def full_name(self) -> str:
        """Family name first, as a list is sorted; empty where no name is known."""
        return ", ".join(part for part in (self.family_name, self.given_name) if part)

    def age_years_on(self, day: date | None) -> float | None:
        """Age in years on a day, from the date of birth, else as stated, else None."""
        if self.birth_date is None or day is None:
            return self.stated_age_years
        return (day - self.birth_date).days / 365.2425
