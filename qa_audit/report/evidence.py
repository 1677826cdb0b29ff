"""Evidence: one internal page for each listed report, with everything its determinations rest on."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import polars as pl

from qa_audit.report.bands import band_of, ceiling_words
from qa_audit.report.calls import Call, calls_of
from qa_audit.report.charts.timeline import Charted, Moment, Timeline, timeline
from qa_audit.report.entries import Entry, entries_of, resting_on
from qa_audit.report.page import render, write_page
from qa_audit.report.vocabulary import Vocabulary, vocabulary
from qa_audit.report.wording import ANSWERABLE_BY, capital, day, feedback, local, number, outcome_name, reason_sentence
from qa_audit.rules import Edition, Rule, Ruleset
from qa_audit.rules.kinds import WithinBand
from qa_audit.rules.kinds.within_band import Band
from qa_audit.settings import Settings
from qa_audit.tables import Month
from qa_audit.tables.reports import MILESTONES

Row = dict[str, Any]
JUDGED = ("met", "not_met", "cannot_tell")
APART = ("not_assessable", "no_edition")


@dataclass(frozen=True)
class Determined:
    """One determination as the page shows it; `rests_on` are the entries that hold its evidence."""

    rule: Rule
    outcome: str
    said: str
    amount: str
    whose: str
    edition: str
    asked: str
    also_answered: str
    opportunity: str
    answerable_by: str
    rests_on: tuple[Entry, ...]


def listed(month: Month, ruleset: Ruleset) -> list[int]:
    """Return the reports with a finding of a rule that the guidance requires, in report order."""
    must = [
        {"edition": edition.label, "rule": rule.id}
        for edition in ruleset.editions
        for rule in edition.rules.values()
        if rule.strength == "must"
    ]
    strict = pl.DataFrame(must, schema={"edition": pl.String, "rule": pl.String})
    findings = month.determinations.filter(pl.col("outcome") == "not_met").join(
        strict, on=("edition", "rule"), how="semi"
    )
    return findings["report"].unique().sort().to_list()


def write(month: Month, ruleset: Ruleset, settings: Settings, folder: Path) -> list[Path]:
    """Write `evidence/<report_id>.html` for every listed report; returns the paths in report order."""
    reports = listed(month, ruleset)
    if not reports:
        return []
    (folder / "evidence").mkdir(parents=True, exist_ok=True)
    within = pl.col("report").is_in(reports)
    heads = month.batch.reports.filter(within).collect().sort("report")
    calls = calls_of(heads.lazy(), settings)
    facts = month.batch.facts.filter(within).with_columns(pl.col("item").cast(pl.String)).collect()
    charts = facts.partition_by("report", as_dict=True)
    rows = month.determinations.filter(within).partition_by("report", as_dict=True)
    reader = _Reader(ruleset, settings, {edition.label: vocabulary(edition, settings) for edition in ruleset.editions})
    written = []
    for head in heads.iter_rows(named=True):
        key = (head["report"],)
        path = folder / "evidence" / f"{head['report_id']}.html"
        page = _Page(reader, head, calls[head["report"]], charts.get(key, facts.clear()), rows[key])
        write_page(path, page.html(month.month))
        written.append(path)
    return written


@dataclass(frozen=True)
class _Reader:
    """What is the same for every page: the editions, their words, the settings."""

    ruleset: Ruleset
    settings: Settings
    words: dict[str, Vocabulary]


class _Page:
    """One report's page: its chart in the words of each edition that decided something."""

    def __init__(self, reader: _Reader, head: Row, call: Call, facts: pl.DataFrame, rows: pl.DataFrame) -> None:
        self.ruleset, self.settings = reader.ruleset, reader.settings
        self.head, self.call, self.facts = head, call, facts
        self.rows = rows.sort("outcome", "rule", "member", "time", nulls_last=True).to_dicts()
        decided = dict.fromkeys(row["edition"] for row in self.rows if row["edition"] is not None)
        self.words = {label: reader.words[label] for label in decided}
        self.entries = {label: entries_of(facts, words) for label, words in self.words.items()}
        self.main = next(row["edition"] for row in self.rows if row["outcome"] == "not_met")

    def html(self, month: str) -> str:
        """Return the page."""
        entries = self.entries[self.main]
        shown = frozenset[int]().union(*(entry.facts for entry in entries))
        return render(
            "evidence.html.j2",
            call=self.call,
            month=month,
            head=self.head,
            milestones=self._milestones(),
            timeline=self._timeline(entries),
            entries=entries,
            unclaimed=self.facts.height - len(shown),
            determinations=[self._determined(row) for row in self.rows],
            label=self.settings.label,
            capital=capital,
        )

    def _milestones(self) -> list[Moment]:
        words = {name: meaning.split(" (")[0] for name, meaning in MILESTONES.items()}
        found = [Moment(self.head[name], words[name]) for name in MILESTONES if self.head[name] is not None]
        return sorted(found, key=lambda moment: moment.time)

    def _timeline(self, entries: list[Entry]) -> Timeline | None:
        words = self.words[self.main]
        timed = [entry for entry in entries if entry.time is not None and not entry.empty and not entry.said_no]
        readings = [entry for entry in timed if entry.concepts & words.readings and entry.amount is not None]
        therapy = [entry for entry in timed if entry.concepts & words.therapies]
        events = [entry for entry in timed if entry not in readings and entry not in therapy]
        band = next(filter(None, (self._band(rule, self.main) for rule in words.edition.rules.values())), None)
        charted = Charted(
            readings=[_moment(entry, f"{entry.amount:g}") for entry in readings],
            therapy=[
                _moment(entry, f"{entry.what.removeprefix('oxygen ')}, {entry.value}".rstrip(", ")) for entry in therapy
            ],
            events=[_moment(entry, f"{entry.what} ({entry.value})".removesuffix(" ()")) for entry in events],
            equipment=[
                self._listed_equipment(entry)
                for entry in entries
                if entry.time is None and entry.concepts & words.lists
            ],
            milestones=self._milestones(),
            ceiling=band.ceiling if band else None,
            ends=self.head["at_destination"] or self.head["transfer_of_care"],
        )
        return timeline(charted, lambda time: f"{local(time, self.call.time_zone, self.call.offset_minutes):%H:%M}")

    def _listed_equipment(self, entry: Entry) -> str:
        whose = "nobody named" if entry.member is None else self.settings.label(entry.member)
        return f"{whose}: {entry.what}{' (charted as no)' if entry.said_no else ''}"

    def _band(self, rule: Rule, label: str) -> Band | None:
        if not isinstance(rule.check, WithinBand):
            return None
        return band_of(rule.check, self.entries[label], self.head["age_years"], self.words[label])

    def _determined(self, row: Row) -> Determined:
        label, outcome, reason = row["edition"], row["outcome"], row["reason"]
        said = outcome in JUDGED and (outcome != "cannot_tell" or reason not in APART)
        rule, edition = self._rule(row["rule"], label)
        band = self._band(rule, label) if label else None
        return Determined(
            rule=rule,
            outcome=outcome_name(outcome, reason),
            said=feedback(rule, outcome, reason, row["amount"]) if said else reason_sentence(reason, edition.concepts),
            amount=f"{number(row['amount'])} {row['amount_unit']}" if row["amount"] is not None else "",
            whose=self.settings.label(row["member"]) if row["member"] else "",
            edition=f"{edition.file.title}, in force from {day(edition.begins.date())} ({label})" if label else "none",
            asked=ceiling_words(band, self.words[label]) if band else rule.check.sentence(),
            also_answered=self.ruleset.by_label(row["kinder_of"]).file.title if row["kinder_of"] else "",
            opportunity=row["opportunity"],
            answerable_by=ANSWERABLE_BY[row["answerable_by"]],
            rests_on=tuple(resting_on(self.entries[label], row["evidence"] or ())) if label else (),
        )

    def _rule(self, rule_id: str, label: str | None) -> tuple[Rule, Edition]:
        """Return the rule in the edition that decided, else in the newest that has it."""
        asked = [self.ruleset.by_label(label)] if label else [*reversed(self.ruleset.editions)]
        return next((edition.rules[rule_id], edition) for edition in asked if rule_id in edition.rules)


def _moment(entry: Entry, words: str) -> Moment:
    if entry.time is None:
        raise ValueError("only entries with a time can be drawn")
    return Moment(entry.time, words, entry.amount)
