"""Bands: which ceiling a rule's edition sets for a listed report, for pages that quote a reading beside it."""

from __future__ import annotations

from collections.abc import Iterable

from qa_audit.report.entries import Entry
from qa_audit.report.vocabulary import Vocabulary
from qa_audit.rules.kinds import WithinBand
from qa_audit.rules.kinds.within_band import Band

DAYS_IN_A_YEAR = 365.25
EVERYONE_MAY_BE = "suspected_infection"
"""The one cohort that an edition can declare for everyone."""


def band_of(check: WithinBand, entries: Iterable[Entry], age_years: float | None, words: Vocabulary) -> Band:
    """Return the first band whose cohort the report belongs to, in the order in which the check asks them.

    A cohort is a concept over the whole report: anything charted as present that speaks of it, or the age in years.
    """
    spoken = frozenset[str]().union(*(entry.concepts for entry in entries if not entry.said_no and not entry.empty))
    return next(band for band in check.bands if band.cohort is None or _is_in(band.cohort, spoken, age_years, words))


def _is_in(cohort: str, spoken: frozenset[str], age_years: float | None, words: Vocabulary) -> bool:
    if cohort in spoken or (cohort == EVERYONE_MAY_BE and words.edition.file.suspected_infection == "everyone"):
        return True
    ages = [words.concepts.named[name].at_most_days_old for name in words.concepts.family(cohort)]
    return age_years is not None and any(
        days is not None and round(age_years * DAYS_IN_A_YEAR, 2) <= days for days in ages
    )


def ceiling_words(band: Band, words: Vocabulary) -> str:
    """Return the ceiling with the cohort it is for: at most 96 % (a respiratory infection is suspected)."""
    whom = "everyone else" if band.cohort is None else words.words(band.cohort)
    return f"{whom}: not judged" if band.ceiling is None else f"at most {band.ceiling:g} % ({whom})"
