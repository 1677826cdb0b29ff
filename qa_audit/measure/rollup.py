"""The roll-up: many determinations of one report and rule become the one outcome that is counted."""

from __future__ import annotations

import polars as pl

from qa_audit.tables.determinations import CANNOT_TELL_REASONS, OUTCOMES

REPORT = ("month", "report", "rule")
"""What one rolled-up row stands for; report numbers are counted inside their month."""


def roll_up(determinations: pl.LazyFrame) -> pl.LazyFrame:
    """Return one row a report and rule: any not_met, else cannot_tell, else met, else excepted, else excluded.

    Takes DETERMINATIONS with a column `month`. Gives REPORT, `recipient`, `rule_hash`, `outcome`, `reason` (for
    cannot_tell the first in the order of CANNOT_TELL_REASONS; null for met and not_met) and `by_system` (every finding
    of the report is one that only the system can answer).
    """
    words = pl.col("reason").cast(pl.String)
    ranked = determinations.select(
        *REPORT,
        "recipient",
        "rule_hash",
        outcome=pl.col("outcome").cast(OUTCOMES),
        untold=words.cast(pl.Enum(CANNOT_TELL_REASONS), strict=False),
        other=words,
        crew=pl.col("answerable_by").cast(pl.String) == "crew",
    )
    decided = pl.col("outcome") == pl.col("outcome").min()
    rolled = ranked.group_by(REPORT, maintain_order=True).agg(
        pl.col("recipient").first(),
        pl.col("rule_hash").filter(decided).first(),
        pl.col("outcome").min(),
        untold=pl.col("untold").filter(decided).min().cast(pl.String),
        other=pl.col("other").filter(decided).min(),
        by_system=~pl.col("crew").filter(decided).any(),
    )
    return rolled.select(
        *REPORT,
        "recipient",
        "rule_hash",
        "outcome",
        reason=pl.when(pl.col("outcome") == "cannot_tell").then("untold").otherwise("other"),
        by_system=pl.col("by_system") & (pl.col("outcome") == "not_met"),
    )
