"""Findings of a letter: the call, what is charted, what the guidance in force said, one next step."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import Any

import polars as pl

from qa_audit.report.bands import band_of, ceiling_words
from qa_audit.report.calls import Call
from qa_audit.report.charted import charted
from qa_audit.report.entries import Entry, entries_of, resting_on
from qa_audit.report.vocabulary import Vocabulary, vocabulary
from qa_audit.report.wording import capital, counted, day, feedback
from qa_audit.rules import Edition, Rule, Ruleset
from qa_audit.rules.kinds import WithinBand
from qa_audit.rules.kinds.within_band import Band
from qa_audit.settings import Settings
from qa_audit.tables import Month

SEVERITY_ORDER = ("safety", "quality", "record")
Row = dict[str, Any]


@dataclass(frozen=True)
class Finding:
    """One call and rule: everything a letter prints of it.

    `members` is how many crew members it is charted for (0: the rule judges no members); no member is named.
    """

    rule: Rule
    call: Call
    edition: Edition
    said: str
    charted: str
    asked: str
    members: int
    quotes_a_reading: bool
    also_answered: str | None

    @property
    def guidance(self) -> str:
        """Return the edition in words: its title and since when it is in force."""
        return f"{self.edition.file.title}, from {day(self.edition.begins.date())}"

    @property
    def is_suggestion(self) -> bool:
        """Say whether the guidance only recommends it."""
        return self.rule.strength != "must"


def findings_of(month: Month, ruleset: Ruleset, settings: Settings, calls: dict[int, Call]) -> dict[str, list[Finding]]:
    """Return the findings that a crew can answer, by recipient: must first, then by severity and time."""
    rows = month.determinations.filter(
        pl.col("outcome") == "not_met", pl.col("answerable_by") == "crew", pl.col("recipient").is_not_null()
    )
    together: dict[tuple[str, int, str, str], list[Row]] = defaultdict(list)
    for row in rows.iter_rows(named=True):
        together[row["edition"], row["report"], row["rule"], row["recipient"]].append(row)
    editions = {
        label: _Listed(month, ruleset.by_label(label), settings, rows) for label in {key[0] for key in together}
    }
    found: dict[str, list[Finding]] = defaultdict(list)
    for (label, report, _, recipient), same in together.items():
        found[recipient].append(editions[label].finding(calls[report], same, ruleset))
    return {recipient: sorted(mine, key=_first_things_first) for recipient, mine in found.items()}


def _first_things_first(finding: Finding) -> tuple[Any, ...]:
    severity = SEVERITY_ORDER.index(finding.rule.severity)
    return (finding.is_suggestion, severity, finding.call.notified, finding.call.report, finding.rule.id)


class _Listed:
    """The charts of the reports with findings, seen through one edition."""

    def __init__(self, month: Month, edition: Edition, settings: Settings, findings: pl.DataFrame) -> None:
        self.edition = edition
        self.words: Vocabulary = vocabulary(edition, settings)
        mine = findings.filter(pl.col("edition") == edition.label)
        reports = mine["report"].unique().sort().to_list()
        facts = month.batch.facts.filter(pl.col("report").is_in(reports)).collect()
        self.entries: dict[int, list[Entry]] = {
            report: entries_of(rows, self.words)
            for (report,), rows in facts.with_columns(pl.col("item").cast(pl.String)).group_by("report")
        }
        ages = month.batch.reports.filter(pl.col("report").is_in(reports)).select("report", "age_years").collect()
        self.ages: dict[int, float | None] = dict(ages.iter_rows())

    def _band(self, rule: Rule, report: int) -> Band | None:
        if not isinstance(rule.check, WithinBand):
            return None
        return band_of(rule.check, self.entries.get(report, []), self.ages[report], self.words)

    def finding(self, call: Call, rows: list[Row], ruleset: Ruleset) -> Finding:
        """Return one finding of a call; `rows` are its determinations, one for each member or opportunity."""
        rule = self.edition.rules[rows[0]["rule"]]
        amounts = [row["amount"] for row in rows if row["amount"] is not None]
        evidence = [fact for row in rows for fact in row["evidence"] or ()]
        band = self._band(rule, call.report)
        members = len({row["member"] for row in rows if row["member"] is not None})
        other = rows[0]["kinder_of"]
        return Finding(
            rule=rule,
            call=call,
            edition=self.edition,
            said=feedback(rule, "not_met", None, max(amounts, default=None)) + _also_for(members),
            charted=capital(
                charted(rule.check, resting_on(self.entries.get(call.report, []), evidence), band, call.clock)
            ),
            asked=self._asked(rule, band),
            members=members,
            quotes_a_reading=isinstance(rule.check, WithinBand),
            also_answered=None if other is None else ruleset.by_label(other).file.title,
        )

    def _asked(self, rule: Rule, band: Band | None) -> str:
        if isinstance(rule.check, WithinBand) and band is not None:
            return f"saturation on oxygen {ceiling_words(band, self.words)}"
        return rule.check.sentence()[0].lower() + rule.check.sentence()[1:].rstrip(".")


def _also_for(members: int) -> str:
    return f" The same is charted for {counted(members, 'member')} of the crew." if members > 1 else ""
