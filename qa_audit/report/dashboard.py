"""The dashboard for leadership: published figures alone; no crew, vehicle, report or small count stands on it."""

from __future__ import annotations

from pathlib import Path

import polars as pl

from qa_audit.report import headlines
from qa_audit.report.answers import rules_of
from qa_audit.report.asked import asked_of
from qa_audit.report.in_force import editions_in
from qa_audit.report.page import render, write_page
from qa_audit.rules import Ruleset
from qa_audit.settings import Settings
from qa_audit.tables import Month
from qa_audit.tables.figures import Figures


def write(month: Month, figures: Figures, ruleset: Ruleset, settings: Settings, folder: Path) -> Path:
    """Write `dashboard.html` of a month from its published figures; returns the path."""
    counted = set(figures.published.filter(pl.col("last_month") <= month.month)["rule"])
    asked = [asked_of(month.month, figures, ruleset, *each) for each in rules_of(month.month, ruleset, counted)]
    path = folder / "dashboard.html"
    html = render(
        "dashboard.html.j2",
        month=month.month,
        agency=settings.agency.name,
        audited_on=month.audited_on,
        editions=editions_in(ruleset, month.month),
        sentences=headlines.sentences(month, asked, sum(each <= month.month for each in figures.months)),
        wanted=headlines.wanted(asked, settings),
        asked=[each for each in asked if each.stands_open],
        folded=[each for each in asked if not each.stands_open],
    )
    write_page(path, html)
    return path
