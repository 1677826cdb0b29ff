"""Showing: the length of period at which a rule's scores can mostly be shown to leadership."""

from __future__ import annotations

import polars as pl

from qa_audit.tables.published import PERIODS_SHOWN


def periods_shown(published: pl.DataFrame, months: list[str]) -> pl.DataFrame:
    """Return PERIODS_SHOWN for a page of each month, from PUBLISHED.

    The finest level of whose ended periods with something judged at least half can be shown; where none can, the
    quarter, unless a whole year has ended. A period in which nothing was judged hides nothing.
    """
    pages = pl.DataFrame({"as_of": months}, schema={"as_of": pl.String})
    judged = published.filter(pl.col("judged").is_null() | (pl.col("judged") > 0))
    ended = pages.join(judged, how="cross").filter(pl.col("last_month") <= pl.col("as_of"))
    levels = ended.group_by("as_of", "rule", "level").agg(mostly=pl.col("met").is_not_null().mean() >= 1 / 2)
    fitting = levels.group_by("as_of", "rule").agg(
        finest=pl.col("level").filter("mostly").min(),
        year_ended=(pl.col("level") == "year").any(),
    )
    rules = pages.join(published.select("rule", "last_month"), how="cross").filter(
        pl.col("last_month") <= pl.col("as_of")
    )
    otherwise = pl.when("year_ended").then(pl.lit("year")).otherwise(pl.lit("quarter"))
    level = pl.coalesce(pl.col("finest").cast(pl.String), otherwise)
    chosen = (
        rules.select("as_of", "rule")
        .unique()
        .join(fitting, on=("as_of", "rule"), how="left")
        .select("as_of", "rule", level=pl.when(pl.col("year_ended").is_null()).then(pl.lit("month")).otherwise(level))
    )
    return PERIODS_SHOWN.conform(chosen.sort("as_of", "rule").lazy()).collect()
