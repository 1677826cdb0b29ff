"""The search of free text for what identifies a person: structured identifiers, and the same report's own values.

Common practice, no source: the forms below are written so that blood pressures, times, doses and tube sizes pass.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

SHORTEST_OWN_VALUE = 5

_MONTH = r"(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*\.?"
_DATE = (
    r"(?:\d{1,2}[/.-]\d{1,2}[/.-]\d{2,4}|\d{4}-\d{1,2}-\d{1,2}"
    rf"|{_MONTH}\s+\d{{1,2}}(?:st|nd|rd|th)?,?\s+\d{{4}}|\d{{1,2}}(?:st|nd|rd|th)?\s+{_MONTH},?\s+\d{{4}})"
)
_CALLED = r"(?:phone|telephone|tel|cell|mobile|fax|call\s?back)"

_FORMS = {
    "a social security number": (
        r"(?<![\d-])\d{3}-\d{2}-\d{4}(?![\d-])"
        r"|(?:ssn|social security)(?:\s+(?:number|no|is))*\W{0,4}\d{3}[ -]?\d{2}[ -]?\d{4}(?!\d)"
    ),
    "a phone number": (
        r"(?<![\w.+-])(?:\+?1[-. ]?)?(?:\([2-9]\d{2}\)\s?[2-9]\d{2}[-. ]|[2-9]\d{2}([-.])[2-9]\d{2}\1)\d{4}(?![\w-])"
        rf"|\b{_CALLED}(?:\s+(?:number|no|is|at))*\W{{0,4}}"
        r"(?:\+?1[-. ]?)?(?:\(?\d{3}\)?[-. ]?)?\d{3}[-. ]?\d{4}(?!\d)"
        r"|(?<![\w+])\+\d{1,3}[ -]?\d{2,4}(?:[ -]?\d{2,4}){2,3}(?!\d)"
    ),
    "an e-mail address": r"[\w.+-]+@[\w-]+(?:\.[\w-]+)+",
    "a date of birth": (
        r"\b(?:dob|d\.\s?o\.\s?b|date of birth|birth\s?date|birthday|born(?:\s+on)?)\b\.?"
        rf"(?:\s+is)?\W{{0,4}}{_DATE}"
    ),
}
_COMPILED = {name: re.compile(form, re.IGNORECASE) for name, form in _FORMS.items()}
_ANY_DIGIT_OR_AT = re.compile(r"[\d@]")


def structured_identifier(text: str) -> str | None:
    """Return in words which structured identifier a text holds, or nothing."""
    if not _ANY_DIGIT_OR_AT.search(text):
        return None
    return next((name for name, form in _COMPILED.items() if form.search(text)), None)


def own_values(values: Iterable[str]) -> frozenset[str]:
    """Return a report's identifying values as they are searched for; shorter ones would be found in any text."""
    return frozenset(folded for value in values if len(folded := value.strip().casefold()) >= SHORTEST_OWN_VALUE)


def holds_own_value(text: str, wanted: frozenset[str]) -> bool:
    """Say whether a text holds one of the report's `own_values` as a whole word, in any case."""
    if len(text) < SHORTEST_OWN_VALUE:
        return False
    folded = text.casefold()
    return any(
        value in folded and re.search(rf"(?<!\w){re.escape(value)}(?!\w)", folded) is not None for value in wanted
    )
