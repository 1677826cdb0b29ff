"""What was looked at: one standard's outcomes over a recipient's calls, with what could not be told and why."""

from __future__ import annotations

from dataclasses import dataclass

import polars as pl

from qa_audit.report.calls import Call
from qa_audit.report.wording import SILENT, counted, feedback
from qa_audit.rules import Rule, Ruleset

SPELLED_OUT = 9
"""Calls a line lists by day and time; from ten on it gives their number."""


@dataclass(frozen=True)
class Untold:
    """Calls of which one thing cannot be told: the plain sentence, and whether the report is merely silent."""

    sentence: str
    is_silence: bool
    calls: tuple[Call, ...]

    @property
    def which(self) -> str:
        """Return the calls as a list, or their number."""
        return which(self.calls)


@dataclass(frozen=True)
class LookedAt:
    """One standard: the calls charted as the guidance asks, those with a finding, and those that cannot be told."""

    rule: Rule
    met: tuple[Call, ...]
    found: tuple[Call, ...]
    untold: tuple[Untold, ...]
    strip: str

    @property
    def applied(self) -> int:
        """Return how many calls the standard spoke of."""
        return len(self.met) + len(self.found) + self.cannot_be_told

    @property
    def cannot_be_told(self) -> int:
        """Return how many calls cannot be told, silent ones included."""
        return sum(len(each.calls) for each in self.untold)

    @property
    def silent(self) -> int:
        """Return how many calls the report does not speak of (charting gaps)."""
        return sum(len(each.calls) for each in self.untold if each.is_silence)

    @property
    def which_met(self) -> str:
        """Return the calls charted as the guidance asks, as a list or their number."""
        return which(self.met)


def looked_at(rolled: pl.DataFrame, calls: dict[int, Call], ruleset: Ruleset) -> list[LookedAt]:
    """Return every standard that spoke of a call, by title; takes one row a report and rule (see `rolled_up`)."""
    found = []
    for (rule_id,), rows in rolled.group_by("rule", maintain_order=True):
        rule = _newest(str(rule_id), rows["edition"].drop_nulls().to_list(), ruleset)
        found.append(_one(rule, rows, calls))
    return sorted(found, key=lambda each: each.rule.title)


def _newest(rule_id: str, editions: list[str], ruleset: Ruleset) -> Rule:
    """Return the rule as the newest edition that decided one of these calls words it."""
    decided = [edition for edition in ruleset.editions if edition.label in editions and rule_id in edition.rules]
    return decided[-1].rules[rule_id]


def _one(rule: Rule, rows: pl.DataFrame, calls: dict[int, Call]) -> LookedAt:
    in_order = sorted(
        (
            (calls[report], outcome, reason)
            for report, outcome, reason in rows.select("report", "outcome", "reason").iter_rows()
        ),
        key=lambda each: (each[0].notified, each[0].report),
    )
    reasons = dict.fromkeys(reason for _, outcome, reason in in_order if outcome == "cannot_tell")
    untold = tuple(
        Untold(
            feedback(rule, "cannot_tell", reason, None),
            reason == SILENT,
            tuple(call for call, outcome, why in in_order if outcome == "cannot_tell" and why == reason),
        )
        for reason in reasons
    )
    return LookedAt(
        rule=rule,
        met=tuple(call for call, outcome, _ in in_order if outcome == "met"),
        found=tuple(call for call, outcome, _ in in_order if outcome == "not_met"),
        untold=untold,
        strip="".join({"met": "m", "not_met": "f", "cannot_tell": "u"}[outcome] for _, outcome, _ in in_order),
    )


def which(calls: tuple[Call, ...]) -> str:
    """Return `3 Jan 10:05, 7 Jan 18:30`, or from ten calls on their number."""
    return ", ".join(call.short for call in calls) if len(calls) <= SPELLED_OUT else counted(len(calls), "call")
