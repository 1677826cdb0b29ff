"""The indexes: one month's pages and letters, and all months, opening with what the records can answer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import polars as pl

from qa_audit.report.answers import field_that_helps, rules_of
from qa_audit.report.completeness import Field
from qa_audit.report.page import render, write_page
from qa_audit.rules import Rule, Ruleset
from qa_audit.settings import Settings
from qa_audit.tables import Month
from qa_audit.tables.figures import Figures


@dataclass(frozen=True)
class Answer:
    """One rule over all months, in reports: asked, judged, silent, without a field; and the field that would help."""

    rule: Rule
    applied: int
    judged: int
    not_documented: int
    not_assessable: int
    field: Field | None

    @property
    def verdict(self) -> str:
        """Say in a few words whether the rule can be judged here."""
        if not self.applied:
            return "No: the records have no field for it" if self.not_assessable else "Not asked yet"
        if not self.judged:
            return "Not yet: no report says enough"
        return "Yes" if 2 * self.judged >= self.applied else "In part: most reports do not say enough"


def write_month(month: Month, letters: Sequence[Path], settings: Settings, folder: Path) -> Path:
    """Write a month's `index.html`: the three numbers, and links to its pages and to the given letters."""
    labels = {recipient: settings.label(recipient) for recipient in _recipients(month)}
    named = sorted((labels.get(path.stem, path.stem), path.name) for path in letters)
    path = folder / "index.html"
    write_page(path, render("index_month.html.j2", month=month, agency=settings.agency.name, letters=named))
    return path


def write_all(written: Sequence[str], figures: Figures, ruleset: Ruleset, settings: Settings, into: Path) -> Path:
    """Write `index.html` over all months of the figures and those just written."""
    months = sorted({*figures.months, *written}, reverse=True)
    service = figures.counts.filter(pl.col("recipient").is_null())
    newest = months[0] if months else ""
    answers = [
        _answer(service.filter(pl.col("rule") == rule.id), rule, field_that_helps(edition, rule, settings))
        for edition, rule in (rules_of(newest, ruleset, set(service["rule"])) if newest else [])
    ]
    path = into / "index.html"
    write_page(path, render("index.html.j2", agency=settings.agency.name, months=months, answers=answers))
    return path


def _recipients(month: Month) -> list[str]:
    return month.batch.reports.select("recipient").drop_nulls().unique().collect()["recipient"].to_list()


def _answer(rows: pl.DataFrame, rule: Rule, field: Field | None) -> Answer:
    summed = {
        name: int(rows[name].sum()) for name in ("met", "not_met", "cannot_tell", "not_documented", "not_assessable")
    }
    judged = summed["met"] + summed["not_met"]
    return Answer(
        rule=rule,
        applied=judged + summed["cannot_tell"],
        judged=judged,
        not_documented=summed["not_documented"],
        not_assessable=summed["not_assessable"],
        field=field,
    )
