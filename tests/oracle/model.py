"""What the oracle judges: reports as plain data, editions as plain data, and what it answers."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime
from fractions import Fraction
from typing import Any

MINUTE = 60_000

CANNOT_TELL_ORDER = [
    "not_documented",
    "time_missing",
    "time_precision",
    "too_few_readings",
    "therapy_end_unknown",
    "list_incomplete",
    "chart_conflict",
    "no_edition",
    "not_assessable",
]
"""Contracts section 4: a roll-up picks the first."""


def exact(value: float) -> Fraction:
    """Return an amount as a fraction, rounded to six decimals."""
    return Fraction(str(round(value, 6)))


def holds(pattern: str, item: str) -> bool:
    """Whether an item is the pattern, or begins with it where the pattern ends in `*`."""
    return item.startswith(pattern[:-1]) if pattern.endswith("*") else item == pattern


@dataclass(frozen=True)
class Fact:
    """One thing documented; times in ms UTC, every None means not recorded."""

    fact: int
    report: int
    item: str
    time: int | None = None
    value: float | None = None
    unit: str | None = None
    count: int | None = None
    success: bool | None = None
    member: str | None = None
    role: str | None = None
    status: str = "present"
    why: str | None = None
    call_group: int | None = None
    origin: str = "coded"
    by_others: bool | None = False


@dataclass(frozen=True)
class Member:
    """One entry of a crew list; without an id it is no member."""

    member: str | None
    level: str | None = None
    roles: tuple[str, ...] = ()


@dataclass(frozen=True)
class Report:
    """One patient-care report with its facts and crew; `zone` is an IANA name or an offset in minutes."""

    report: int
    unit_notified: int
    at_patient: int | None = None
    left_scene: int | None = None
    at_destination: int | None = None
    transfer_of_care: int | None = None
    age_years: float | None = None
    transported: bool | None = None
    subset: str = "full"
    standard_version: str = "3.5.1"
    service_type: str | None = None
    zone: str | int = 0
    facts: tuple[Fact, ...] = ()
    members: tuple[Member, ...] = ()


@dataclass(frozen=True)
class Concepts:
    """`direct`: the items of each concept (a trailing `*` is a prefix); `parents`: is_a; `days`: age limits."""

    direct: dict[str, set[str]]
    parents: dict[str, list[str]] = field(default_factory=dict)
    days: dict[str, int] = field(default_factory=dict)
    known: dict[str, frozenset[str]] = field(default_factory=dict, compare=False)

    def meant_by(self, item: str) -> frozenset[str]:
        """Return the concepts an item itself stands for; remembered, because months repeat their items."""
        if item not in self.known:
            found = (name for name, items in self.direct.items() if any(holds(pattern, item) for pattern in items))
            self.known[item] = frozenset(found)
        return self.known[item]

    def line(self, concept: str) -> set[str]:
        """Return the concept with all its parents, theirs included."""
        found = {concept}
        for parent in self.parents.get(concept, []):
            found |= self.line(parent)
        return found


@dataclass(frozen=True)
class Edition:
    """One dated edition; boundaries are local wall-clock times, `rules` plain parameters by rule id."""

    name: str
    date: str
    from_local: datetime
    until_local: datetime | None
    concepts: Concepts
    rules: dict[str, dict[str, Any]]
    transition_until: datetime | None = None
    made_known: datetime | None = None
    must_document_from: datetime | None = None
    suspected_everyone: bool = False

    @property
    def label(self) -> str:
        """`name@date`."""
        return f"{self.name}@{self.date}"


@dataclass(frozen=True)
class Mapping:
    """What an agency's own element means: coded values, or (values None) a date-time that is the fact's time."""

    concept: str
    values: dict[str, str] | None


@dataclass(frozen=True)
class Settings:
    """The part of the agency's settings that can change a judgement."""

    custom: dict[str, Mapping] = field(default_factory=dict)
    respirator_also: tuple[str, ...] = ()
    intubation_also: tuple[str, ...] = ()
    crew_list_from: date | None = None
    lists_complete_from: date | None = None
    filter_on_cpap_from: date | None = None


@dataclass(frozen=True)
class Opportunity:
    """One opportunity as one edition judges it; `touches` are the instants at which another edition may speak too."""

    time: int | None
    outcome: str
    reason: str | None = None
    amount: Fraction | None = None
    member: str | None = None
    touches: tuple[int, ...] = ()


@dataclass(frozen=True)
class Determination:
    """One row of the answer."""

    report: int
    member: str | None
    rule: str
    edition: str | None
    opportunity: str
    time: int | None
    outcome: str
    reason: str | None
    amount: float | None
    kinder_of: str | None
