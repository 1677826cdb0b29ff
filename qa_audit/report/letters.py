"""Letters: one draft page for each recipient and month; never a word about another crew."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

import polars as pl

from qa_audit.report.calls import calls_of, rolled_up
from qa_audit.report.findings import Finding, findings_of
from qa_audit.report.looked_at import LookedAt, looked_at
from qa_audit.report.own_numbers import FEWEST_FOR_A_PERCENTAGE, Count, OwnNumbers, own_numbers, rolling_months
from qa_audit.report.page import render, write_page
from qa_audit.report.wording import AMEND_ONLY_IF_WRONG, OXIMETER_NOTE, counted, day, joined, month_name
from qa_audit.rules import Ruleset
from qa_audit.settings import PeerReview, Settings
from qa_audit.tables import Month

AT_MOST = 5
"""Findings and suggestions that one letter prints; the rest is counted (low load: Brehaut et al. 2016)."""


@dataclass(frozen=True)
class Letter:
    """What one letter says.

    `calls` is how many reports of the recipient the month holds, `with_something` how many of them the standards spoke
    of, `clean` how many of those have something judged and no finding.
    """

    recipient: str
    calls: int
    with_something: int
    clean: int
    looked_at: tuple[LookedAt, ...]
    findings: tuple[Finding, ...]
    suggestions: tuple[Finding, ...]
    left_out: int
    numbers: tuple[OwnNumbers, ...]

    @property
    def went_well(self) -> tuple[LookedAt, ...]:
        """Return the standards with calls charted as the guidance asks."""
        return tuple(each for each in self.looked_at if each.met)

    @property
    def quotes_a_reading(self) -> bool:
        """Say whether any printed finding quotes an oximeter."""
        return any(finding.quotes_a_reading for finding in (*self.findings, *self.suggestions))

    @property
    def headline(self) -> str:
        """Return the message in at most two sentences."""
        calls = counted(self.calls, "call")
        if not self.with_something:
            return f"Of {calls}, none needed what the standards speak of."
        first = (
            f"The standards spoke of {self.with_something} of {calls}; {self.clean} of them "
            f"{'is' if self.clean == 1 else 'are'} charted as the guidance asks wherever that can be told."
        )
        listed = [counted(len(self.findings), "finding"), counted(len(self.suggestions), "suggestion")]
        follow = joined([words for words in listed if not words.startswith("0 ")])
        return (
            f"{first} {follow} below, each with its call and one next step."
            if follow
            else f"{first} There is no finding."
        )

    @property
    def numbers_in_words(self) -> str:
        """Return the sum over all standards in a sentence: the same numbers as the table beside it."""
        own = Count(sum(each.own.met for each in self.numbers), sum(each.own.judged for each in self.numbers))
        months = len(self.numbers[0].by_month)
        over = "In this month" if months == 1 else f"In these {months} months together"
        return (
            f"{over} {own.words} as the guidance asks, a call counted once for each standard judged. "
            f"From {FEWEST_FOR_A_PERCENTAGE} on: percent, 95 % interval."
        )


def write(month: Month, figures: pl.DataFrame, ruleset: Ruleset, settings: Settings, folder: Path) -> list[Path]:
    """Write `letters/<recipient>.html` for every recipient with an admitted report; returns the paths, sorted.

    `figures` is FIGURES over all stored months. Without the agency's own peer-review statement in the settings no
    letter is written at all.
    """
    if settings.peer_review is None:
        return []
    (folder / "letters").mkdir(parents=True, exist_ok=True)
    drafts = _Drafts(month, figures, ruleset, settings)
    written = []
    for pseudonym, letter in sorted(drafts.letters().items()):
        path = folder / "letters" / f"{re.sub(r'[^A-Za-z0-9-]', '_', pseudonym)}.html"
        write_page(path, drafts.page(letter, settings.peer_review))
        written.append(path)
    return written


@dataclass(frozen=True)
class _Drafts:
    """One month's drafts."""

    month: Month
    figures: pl.DataFrame
    ruleset: Ruleset
    settings: Settings

    @property
    def months(self) -> list[str]:
        return rolling_months(self.figures, self.month.month)

    def letters(self) -> dict[str, Letter]:
        """Return the letter of each recipient, by pseudonym."""
        calls = calls_of(self.month.batch.reports, self.settings)
        findings = findings_of(self.month, self.ruleset, self.settings, calls)
        seen = self.month.determinations.filter(_in_a_letter())
        addressed = self.month.batch.reports.select("report", "recipient").drop_nulls().collect()
        letters = {}
        for (name,), reports in addressed.group_by("recipient", maintain_order=True):
            recipient = str(name)
            mine = rolled_up(seen.filter(pl.col("recipient") == recipient))
            standards = looked_at(mine, calls, self.ruleset)
            letters[recipient] = self._letter(recipient, reports.height, mine, standards, findings.get(recipient, []))
        return letters

    def _letter(
        self, recipient: str, how_many: int, mine: pl.DataFrame, standards: list[LookedAt], findings: list[Finding]
    ) -> Letter:
        judged = mine.filter(pl.col("outcome") != "cannot_tell")["report"].unique()
        found = mine.filter(pl.col("outcome") == "not_met")["report"].unique()
        printed = findings[:AT_MOST]
        return Letter(
            recipient=self.settings.label(recipient),
            calls=how_many,
            with_something=mine["report"].n_unique(),
            clean=judged.len() - found.len(),
            looked_at=tuple(standards),
            findings=tuple(finding for finding in printed if not finding.is_suggestion),
            suggestions=tuple(finding for finding in printed if finding.is_suggestion),
            left_out=len(findings) - len(printed),
            numbers=tuple(own_numbers(self.figures, recipient, self.months)),
        )

    def page(self, letter: Letter, review: PeerReview) -> str:
        """Return a letter as a page."""
        rules = [rule for edition in self.ruleset.editions for rule in edition.rules.values()]
        audited_on = self.month.audited_on
        return render(
            "letter.html.j2",
            letter=letter,
            agency=self.settings.agency.name,
            month=month_name(self.month.month),
            months=[f"{month_name(each)[:3]} {each[:4]}" for each in self.months],
            audited_on=day(audited_on),
            days_later=(audited_on - _last_day(self.month.month)).days,
            reply_by=day(audited_on + timedelta(days=review.reply_within_days)),
            review=review,
            # Oldest edition first: a rule is called by its newest title.
            titles={rule.id: rule.title for rule in rules},
            oximeter_note=OXIMETER_NOTE,
            amend_only_if_wrong=AMEND_ONLY_IF_WRONG,
        )


def _in_a_letter() -> pl.Expr:
    """Return which determinations a letter may speak of: judged or silent, and the crew's to answer."""
    by_system = (pl.col("answerable_by") == "system") & (pl.col("outcome") == "not_met")
    unasked = pl.col("reason").cast(pl.String).is_in(["not_assessable", "no_edition"]).fill_null(value=False)
    return pl.col("outcome").cast(pl.String).is_in(["met", "not_met", "cannot_tell"]) & ~by_system & ~unasked


def _last_day(month: str) -> date:
    year, number = (int(part) for part in month.split("-"))
    return date(year + number // 12, number % 12 + 1, 1) - timedelta(days=1)
