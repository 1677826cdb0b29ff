"""Answers: which rules a month's pages speak of, and the one field that would let each be judged."""

from __future__ import annotations

from qa_audit.report.completeness import Field, fields_of
from qa_audit.report.in_force import editions_in
from qa_audit.report.vocabulary import vocabulary
from qa_audit.rules import Edition, Rule, Ruleset
from qa_audit.settings import Settings

SEVERITIES = ("safety", "quality", "record")
"""In the order in which pages list rules; within one by title."""


def rules_of(month: str, ruleset: Ruleset, counted: set[str]) -> list[tuple[Edition, Rule]]:
    """Return the rules of the last edition in force in a month, and counted ones that only another edition has."""
    current = (editions_in(ruleset, month) or (ruleset.newest,))[-1]
    found = {rule: (current, current.rules[rule]) for rule in current.rules}
    for other in reversed(ruleset.editions):
        found |= {rule: (other, other.rules[rule]) for rule in counted & other.rules.keys() - found.keys()}
    return sorted(found.values(), key=lambda each: (SEVERITIES.index(each[1].severity), each[1].title))


def field_that_helps(edition: Edition, rule: Rule, settings: Settings) -> Field | None:
    """Return the first missing field of the service's own: what the rule needs, else what would make it surer."""
    return next((field for field in fields_of(rule, vocabulary(edition, settings)) if field.is_missing), None)
