"""Which cohorts a report belongs to; whoever documented it."""

from __future__ import annotations

import struct

from oracle.view import View


def belongs(view: View, cohort: str) -> bool:
    """Whether the report belongs to the cohort."""
    if cohort == "suspected_infection" and view.edition.suspected_everyone:
        return True
    days = view.concepts.days.get(cohort)
    if days is not None:
        return at_most_days_old(view.report.age_years, days)
    return bool(view.of(cohort))


def at_most_days_old(age_years: float | None, days: int) -> bool:
    """Whether the age, stored as 32-bit years of 365.25 days, is at most so many days."""
    return age_years is not None and single(age_years) <= single(days / 365.25)


def single(value: float) -> float:
    """Round to the 32 bits in which the table keeps an age."""
    return float(struct.unpack("f", struct.pack("f", value))[0])
