"""What a report of a given version and subset of the standard can carry at all.

Source: NEMSIS v3.5.0 and v3.5.1 data dictionaries; the national elements are those marked National there.
"""

from __future__ import annotations

import polars as pl

NOT_NATIONAL_SECTIONS = ("eCrew", "eOther", "eAirway", "eNarrative", "eDevice", "eExam", "eLabs", "eCustomResults")
NOT_NATIONAL_ELEMENTS = frozenset(
    {
        *("eMedications.09", "eMedications.13", "eProcedures.09", "eProcedures.14", "eProcedures.15"),
        *("eVitals.15", "eVitals.17", "eVitals.23", "eHistory.08", "eHistory.12", "eTimes.08"),
    }
)
NEW_IN_3_5_1 = frozenset(
    {"eVitals.34", "eMedications.13", "eProcedures.14", "eProcedures.15", "ePatient.23", "ePatient.24", "eScene.25"}
)


def is_national(element: str) -> bool:
    """Say whether the national subset carries the element."""
    return not element.startswith(NOT_NATIONAL_SECTIONS) and element not in NOT_NATIONAL_ELEMENTS


def can_carry(elements: frozenset[str]) -> pl.Expr:
    """Return whether a report (columns `subset`, `standard_version`) can carry any of the elements."""
    if not elements:
        return pl.lit(value=False)
    subset = pl.lit(value=True) if any(map(is_national, elements)) else pl.col("subset") == "full"
    version = pl.lit(value=True) if elements - NEW_IN_3_5_1 else pl.col("standard_version") >= "3.5.1"
    return subset & version
