"""Periods: a month's calendar quarter and year, so that no two published periods overlap in part."""

from __future__ import annotations

import polars as pl

LEVELS = ("month", "quarter", "year")
MONTHS_A_QUARTER = 3


def with_period(by_month: pl.DataFrame, level: str) -> pl.DataFrame:
    """Add `level`, `period` (YYYY-MM, YYYY-Qn, YYYY) and `last_month` (YYYY-MM) to rows with a `month`."""
    year, number = pl.col("month").str.slice(0, 4), pl.col("month").str.slice(5, 2).cast(pl.Int32)
    quarter = (number - 1) // MONTHS_A_QUARTER + 1
    period, last = {
        "month": (pl.col("month"), pl.col("month")),
        "quarter": (
            pl.format("{}-Q{}", year, quarter),
            pl.format("{}-{}", year, (quarter * MONTHS_A_QUARTER).cast(pl.String).str.zfill(2)),
        ),
        "year": (year, pl.format("{}-12", year)),
    }[level]
    return by_month.with_columns(level=pl.lit(level), period=period, last_month=last)
