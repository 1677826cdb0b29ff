"""The reviewer's page: unsuppressed counts and reasons, recipients in order of name, and the listed reports."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import polars as pl

from qa_audit.report.answers import rules_of
from qa_audit.report.calls import Call, calls_of
from qa_audit.report.in_force import editions_in
from qa_audit.report.page import render, write_page
from qa_audit.report.wording import number, outcome_name, reason_sentence
from qa_audit.rules import Edition, Rule, Ruleset
from qa_audit.settings import Settings
from qa_audit.tables import Month
from qa_audit.tables.figures import Figures

Row = dict[str, Any]


@dataclass(frozen=True)
class Reason:
    """Reports of one outcome and reason, both in words."""

    outcome: str
    reason: str
    reports: int


@dataclass(frozen=True)
class Judged:
    """One rule on the reviewer's page; `service` is its row of SCORES and FIGURES, null where it was not asked."""

    rule: Rule
    service: Row | None
    reasons: tuple[Reason, ...]
    recipients: tuple[tuple[str, Row], ...]


@dataclass(frozen=True)
class Listed:
    """One report with a finding of a `must` rule: one visit, whatever it holds."""

    call: Call
    findings: tuple[str, ...]


def write(month: Month, figures: Figures, ruleset: Ruleset, settings: Settings, folder: Path) -> Path:
    """Write `reviewer.html` of a month; returns the path. Internal: crews and small counts stand on it."""
    rows = figures.counts.join(figures.scores, on=("month", "rule", "recipient"), nulls_equal=True)
    rows = rows.filter(pl.col("month") == month.month)
    reasons = figures.reasons.filter(pl.col("month") == month.month)
    judged = [
        Judged(
            rule,
            _service(rows, rule),
            tuple(_reasons(reasons, edition, rule)),
            tuple(_recipients(rows, rule, settings)),
        )
        for edition, rule in rules_of(month.month, ruleset, set(rows["rule"]))
    ]
    path = folder / "reviewer.html"
    html = render(
        "reviewer.html.j2",
        month=month,
        agency=settings.agency.name,
        editions=editions_in(ruleset, month.month),
        judged=judged,
        composites=figures.composites.filter(pl.col("month") == month.month).rows(named=True),
        listed=_listed(month, ruleset, settings),
    )
    write_page(path, html)
    return path


def _service(rows: pl.DataFrame, rule: Rule) -> Row | None:
    service = rows.filter(pl.col("rule") == rule.id, pl.col("recipient").is_null())
    return service.row(0, named=True) if service.height else None


def _reasons(reasons: pl.DataFrame, edition: Edition, rule: Rule) -> list[Reason]:
    found = reasons.filter(pl.col("rule") == rule.id).with_columns(pl.col("outcome").cast(pl.String))
    return [
        Reason(outcome_name(outcome, reason), reason_sentence(reason, edition.concepts) if reason else "", many)
        for outcome, reason, many in found.select("outcome", "reason", "reports").iter_rows()
    ]


def _recipients(rows: pl.DataFrame, rule: Rule, settings: Settings) -> list[tuple[str, Row]]:
    """Return each recipient's row by label: never by rate, which would be a ranking."""
    own = rows.filter(pl.col("rule") == rule.id, pl.col("recipient").is_not_null())
    return sorted(((settings.label(row["recipient"]), row) for row in own.rows(named=True)), key=lambda each: each[0])


def _listed(month: Month, ruleset: Ruleset, settings: Settings) -> list[Listed]:
    calls = calls_of(month.batch.reports, settings)
    rules = {(edition.label, rule.id): rule for edition in ruleset.editions for rule in edition.rules.values()}
    findings: dict[int, dict[str, None]] = {}
    against = month.determinations.filter(pl.col("outcome").cast(pl.String) == "not_met")
    columns = ("report", "rule", "edition", "amount", "amount_unit")
    for report, rule_id, label, amount, unit in (
        against.sort("report", "rule", "opportunity").select(columns).iter_rows()
    ):
        rule = rules.get((label, rule_id))
        if rule is not None and rule.strength == "must":
            measured = f" ({number(amount)} {unit})" if amount is not None and unit else ""
            findings.setdefault(report, {})[f"{rule.title}{measured}"] = None
    listed = [Listed(calls[report], tuple(found)) for report, found in findings.items()]
    return sorted(listed, key=lambda each: (each.call.notified.replace(tzinfo=None), each.call.report_id))
