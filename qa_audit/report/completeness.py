"""Completeness: how many reports let each rule be judged, and which field of the service's own would help."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import polars as pl

from qa_audit.report.calls import rolled_up
from qa_audit.report.vocabulary import Vocabulary
from qa_audit.report.wording import REASONS, SILENT
from qa_audit.rules import Rule
from qa_audit.rules.concept import CUSTOM

APART = ("not_assessable", "no_edition")
"""Reasons that are counted beside a rule's reports, never among them."""


@dataclass(frozen=True)
class Completeness:
    """One rule over a month's reports, after the roll-up.

    `applied` = told + untold; `gaps` are the untold ones of which the report says nothing; `others` the other reasons
    with their number; `not_assessable`, `no_edition`, `excluded` and `excepted` stand beside.
    """

    rule: Rule
    told: int
    gaps: int
    others: tuple[tuple[str, int], ...]
    not_assessable: int
    no_edition: int
    excluded: int
    excepted: int

    @property
    def applied(self) -> int:
        """Return how many reports the rule asked about and could be told or not."""
        return self.told + self.gaps + sum(many for _, many in self.others)


def completeness_of(determinations: pl.DataFrame, rules: Iterable[Rule]) -> list[Completeness]:
    """Return each rule's completeness, in the order given; a rule without a determination has noughts."""
    counts: dict[str, dict[tuple[str, str | None], int]] = {}
    for rule, outcome, reason, many in rolled_up(determinations).group_by("rule", "outcome", "reason").len().sort(
        "rule", "outcome", "reason", nulls_last=True
    ).iter_rows():  # fmt: skip
        counts.setdefault(rule, {})[outcome, reason] = many
    return [_one(rule, counts.get(rule.id, {})) for rule in rules]


def _one(rule: Rule, counts: Mapping[tuple[str, str | None], int]) -> Completeness:
    def total(outcome: str) -> int:
        return sum(many for (found, _), many in counts.items() if found == outcome)

    untold = {
        reason: many for (outcome, reason), many in counts.items() if outcome == "cannot_tell" and reason is not None
    }
    return Completeness(
        rule=rule,
        told=total("met") + total("not_met"),
        gaps=untold.get(SILENT, 0),
        others=tuple((REASONS[reason], many) for reason, many in untold.items() if reason not in (SILENT, *APART)),
        not_assessable=untold.get("not_assessable", 0),
        no_edition=untold.get("no_edition", 0),
        excluded=total("excluded"),
        excepted=total("excepted"),
    )


@dataclass(frozen=True)
class Field:
    """Where a concept that a rule needs can stand: standard elements, the service's own fields, or nowhere yet."""

    concept: str
    sentence: str
    elements: tuple[str, ...]
    own_fields: tuple[str, ...]
    needed: bool

    @property
    def is_missing(self) -> bool:
        """Say whether no field of these records can carry it."""
        return not self.elements and not self.own_fields


def fields_of(rule: Rule, words: Vocabulary) -> list[Field]:
    """Return a field for each concept the rule cannot do without, then for agency fields that would make it surer."""
    needed = list(rule.check.needs())
    helpful = sorted(name for name in rule.check.reads() - {*needed} if words.concepts.named[name].agency_field)
    return [_field(name, words, needed=name in needed) for name in (*needed, *helpful)]


def _field(name: str, words: Vocabulary, *, needed: bool) -> Field:
    own = {
        pattern.removeprefix(CUSTOM).split("=")[0]
        for pattern in words.concepts.patterns(name)
        if pattern.startswith(CUSTOM)
    }
    return Field(
        concept=name,
        sentence=words.concepts.named[name].sentence,
        elements=tuple(sorted(words.concepts.elements(name))),
        own_fields=tuple(sorted(own)),
        needed=needed,
    )
