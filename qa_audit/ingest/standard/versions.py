"""Which version and subset of the standard a file is written in: it says so nowhere, so its marks are weighed together.

Source: NEMSIS XSDs of 3.4.0, 3.5.0 and 3.5.1 (elements removed and added), national XSDs (sections left out).
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field

REMOVED_AFTER_3_4 = frozenset(
    {"eState", "eDisposition.12", "eResponse.15", "eArrest.05", "eArrest.06", "eArrest.08", "eExam.08"}
)
NEW_IN_3_5_0 = frozenset(
    {"eDisposition.27", "eDisposition.28", "eDisposition.29", "eDisposition.30", "eDisposition.32"}
)
NEW_IN_3_5_1 = frozenset(
    {
        "eVitals.34",
        "eMedications.13",
        "eProcedures.14",
        "eProcedures.15",
        "ePatient.23",
        "ePatient.24",
        "eScene.25",
        "eOutcome.21",
    }
)
NOT_IN_NATIONAL = frozenset({"eCrew", "eOther", "eAirway", "eNarrative", "eDevice", "eExam", "eLabs", "eCustomResults"})
MARKS = REMOVED_AFTER_3_4 | NEW_IN_3_5_0 | NEW_IN_3_5_1

_DECLARED = re.compile(r"(?<!\d)3\.\d\.\d")
_NATIONAL = re.compile(r"(?<![A-Za-z])(?:NAT|NATIONAL)(?![A-Za-z])")


@dataclass
class Marks:
    """What the reports of one file showed: elements that mark a version, tags of sections, reports with a UUID."""

    elements: set[str] = field(default_factory=set)
    sections: set[str] = field(default_factory=set)
    with_uuid: int = 0

    def add(self, other: Marks) -> None:
        """Add what another part of the same file showed."""
        self.elements |= other.elements
        self.sections |= other.sections
        self.with_uuid += other.with_uuid


def is_before_3_5(marks: Marks, schema_location: str) -> bool:
    """Say whether a file is in 3.4 or earlier: by UUID (3.5 requires it), elements and what it declares, together."""
    old, new = marks.elements & REMOVED_AFTER_3_4, marks.elements & (NEW_IN_3_5_0 | NEW_IN_3_5_1)
    if old and new:
        return not marks.with_uuid or _declared(schema_location) < "3.5"
    if old or new:
        return bool(old)
    return not marks.with_uuid and not _declared(schema_location).startswith("3.5")


def standard_version(marks: Marks, schema_location: str) -> str:
    """Return 3.5.1 when a file uses or declares it, else 3.5.0: what it may not be able to carry is not asked of it."""
    return "3.5.1" if marks.elements & NEW_IN_3_5_1 or _declared(schema_location) >= "3.5.1" else "3.5.0"


def subset(marks: Marks, schema_location: str) -> str:
    """Return `national` when a file declares it or holds none of the sections that the national subset leaves out."""
    sections = {tag.rpartition("}")[2] for tag in marks.sections}
    return "national" if _NATIONAL.search(schema_location) or not sections & NOT_IN_NATIONAL else "full"


def shown(elements: Iterable[str]) -> str:
    """Return marks as words for a sentence."""
    return ", ".join(sorted(elements)) or "no report has a UUID"


def _declared(schema_location: str) -> str:
    found = _DECLARED.findall(schema_location)
    return max(found) if found else ""
