"""figures: one row for each month, rule and recipient scope; every count is reports after the roll-up."""

from __future__ import annotations

from dataclasses import dataclass

import polars as pl

from qa_audit.tables.table import Column, Table

FIGURES = Table(
    "figures",
    {
        "month": Column(pl.String, "YYYY-MM"),
        "rule": Column(pl.String, "rule id"),
        "recipient": Column(pl.String, "the recipient counted", "the whole service"),
        "met": Column(pl.UInt32, "reports met"),
        "not_met": Column(pl.UInt32, "reports not met (care findings)"),
        "cannot_tell": Column(pl.UInt32, "reports that cannot be told, without not_assessable and no_edition"),
        "not_documented": Column(pl.UInt32, "of cannot_tell: charting gaps"),
        "not_assessable": Column(pl.UInt32, "reports whose records have no field for it"),
        "no_edition": Column(pl.UInt32, "reports no edition was in force for"),
        "excepted": Column(pl.UInt32, "reports with a documented reason"),
        "excluded": Column(pl.UInt32, "reports the rule does not judge"),
        "system": Column(pl.UInt32, "of not_met: findings that only the system can answer"),
    },
)


@dataclass(frozen=True)
class Figures:
    """Everything that is counted, over all stored months; each table as documented in its own file.

    `counts` is FIGURES. Only `published`, `periods_shown` and `trends` may reach a page for leadership.
    """

    counts: pl.DataFrame
    scores: pl.DataFrame
    reasons: pl.DataFrame
    composites: pl.DataFrame
    published: pl.DataFrame
    periods_shown: pl.DataFrame
    trends: pl.DataFrame

    @property
    def months(self) -> tuple[str, ...]:
        """Return the months with at least one determination, oldest first."""
        return tuple(self.counts["month"].unique().sort())
