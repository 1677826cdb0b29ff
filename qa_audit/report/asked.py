"""What the dashboard says of one rule, taken from published figures alone."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import polars as pl

from qa_audit.report.charts.trend import TrendChart, period_label, trend_chart
from qa_audit.report.charts.trend_words import trend_in_words
from qa_audit.rules import Edition, Rule, Ruleset
from qa_audit.tables.figures import Figures

FEWEST_DRAWN = 2
"""Points that make a chart; fewer say no more than the table."""
Cells = dict[str, Any]


@dataclass(frozen=True)
class Period:
    """One column of a rule's table: its name and its row of PUBLISHED, null where the rule was never asked."""

    label: str
    cells: Cells | None


@dataclass(frozen=True)
class Asked:
    """One rule on the dashboard.

    `periods` are the month and, where scores of a month can mostly not be shown, the last whole quarter or year.
    `level` is the length of period that is drawn; `waits` says that no such period has ended yet.
    """

    edition: Edition
    rule: Rule
    periods: tuple[Period, ...]
    level: str
    waits: bool
    trend: tuple[dict[str, Any], ...]
    chart: TrendChart | None

    @property
    def month(self) -> Cells | None:
        """Return the month's own row of PUBLISHED."""
        return self.periods[0].cells

    @property
    def latest(self) -> Cells | None:
        """Return the row that speaks for the rule: of the longer period where there is one."""
        return self.periods[-1].cells

    @property
    def unanswerable(self) -> bool:
        """Say whether the records hold no field for the rule: asked, and never to be judged."""
        latest = self.latest or {}
        return latest.get("applied") == 0 and latest.get("not_assessable") != 0

    @property
    def shown(self) -> bool:
        """Say whether a score of the rule stands on the page."""
        return any(period.cells and period.cells["share"] is not None for period in self.periods)

    @property
    def moved(self) -> bool:
        """Say whether the rule's last phase shows more than chance gives."""
        return bool(self.trend) and (self.trend[-1]["run"] or self.trend[-1]["point"] == "signal")

    @property
    def tested(self) -> bool:
        """Say whether there are points enough for a test."""
        return bool(self.trend) and self.trend[-1]["chart"] != "values"

    @property
    def stands_open(self) -> bool:
        """Say whether the rule is shown unfolded: a signal, much that cannot be told, or a question of safety."""
        return self.moved or self.rule.severity == "safety" or (self.latest or {}).get("headline") is False

    @property
    def trend_in_words(self) -> str:
        """Return what the chart says, for those who do not see it and for those who do."""
        return trend_in_words(self.trend, self.level)


def asked_of(month: str, figures: Figures, ruleset: Ruleset, edition: Edition, rule: Rule) -> Asked:
    """Return what a month's dashboard says of one rule."""
    here = pl.col("rule") == rule.id
    published = figures.published.filter(here, pl.col("last_month") <= month)
    chosen = figures.periods_shown.filter(here, pl.col("as_of") == month)["level"].cast(pl.String)
    level = chosen[0] if len(chosen) else "month"
    periods = [Period(period_label(month), _row(published.filter(pl.col("period") == month)))]
    longer = published.filter(pl.col("level").cast(pl.String) == level).sort("period")
    if level != "month" and longer.height:
        periods.append(Period(period_label(longer["period"][-1]), _row(longer.tail(1))))
    trend = tuple(figures.trends.filter(here, pl.col("as_of") == month).sort("period").iter_rows(named=True))
    drawn = sum(row["share"] is not None for row in trend) >= FEWEST_DRAWN
    begun = [(each.file.title, each.begins.date()) for each in ruleset.editions]
    return Asked(
        edition=edition,
        rule=rule,
        periods=tuple(periods),
        level=level,
        waits=level != "month" and not longer.height,
        trend=trend,
        chart=trend_chart(trend, begun) if drawn else None,
    )


def _row(rows: pl.DataFrame) -> Cells | None:
    return rows.row(0, named=True) if rows.height else None
