"""What a planted case is: a call, and by hand what each rule must say of it."""

from __future__ import annotations

from dataclasses import dataclass

from qa_audit.demo.case import Case, Member
from qa_audit.demo.service import ZONE

OXYGEN = "oxygen-kept-within-target"
RESPIRATOR = "respirator-for-aerosol-procedures"
ONE_ATTEMPT = "one-intubation-attempt"
FILTER = "viral-filter-on-positive-pressure"
RULES = (OXYGEN, RESPIRATOR, ONE_ATTEMPT, FILTER)
"""The rules that judge today; a row of any other rule names what it waits for."""

LEAD, PARTNER, STUDENT = 0, 1, 2
"""Members by their place on the crew list."""


@dataclass(frozen=True)
class Row:
    """What one rule says; `working` is how it follows from the rule's text; outcome null: no opportunity."""

    rule: str
    outcome: str | None
    working: str
    reason: str | None = None
    amount: float | None = None
    member: int | None = None
    waits_for: str | None = None


@dataclass(frozen=True)
class Planted:
    """One planted case; without a call it stands in no sample month and each of its rows waits."""

    name: str
    case: Case | None
    rows: tuple[Row, ...]

    @property
    def month(self) -> str | None:
        """Return the local month it stands in, as 2026-01."""
        return None if self.case is None else f"{self.case.milestones.notified.astimezone(ZONE):%Y-%m}"

    def member(self, row: Row) -> Member | None:
        """Return the member a row speaks of."""
        return None if row.member is None or self.case is None else self.case.crew[row.member]


def protected(*members: int) -> tuple[Row, ...]:
    """Return the rows of members whose own list names a respirator."""
    return tuple(
        Row(RESPIRATOR, "met", "An aerosol procedure; the member's own list names a respirator.", member=member)
        for member in members or (LEAD, PARTNER)
    )


FILTERED = Row(FILTER, "met", "The agency's field, tied to an entry of the episode, says that the filter was in line.")
