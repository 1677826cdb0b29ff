"""Phases: from when to when one version of a rule judged, so that two measures are never drawn as one."""

from __future__ import annotations

import polars as pl

from qa_audit.measure.counts import NO_EDITION
from qa_audit.measure.periods import LEVELS, with_period
from qa_audit.tables.published import LEVELS as LENGTHS

MOSTLY = 0.9
"""A period belongs to one version of a rule when that judged at least this share of it (common practice, no source)."""


def phases(rolled: pl.DataFrame) -> pl.DataFrame:
    """Return `level`, `period`, `rule`, `phase` (0, 1, ...) and `changeover` (several versions judged in it)."""
    asked = rolled.filter(pl.col("reason").is_null() | (pl.col("reason") != NO_EDITION))
    by_month = asked.group_by("month", "rule", "rule_hash").agg(reports=pl.len())
    return pl.concat([_at(with_period(by_month, level)) for level in LEVELS])


def _at(by_month: pl.DataFrame) -> pl.DataFrame:
    versions = by_month.group_by("level", "period", "rule", "rule_hash").agg(pl.col("reports").sum())
    most = pl.col("reports") == pl.col("reports").max()
    found = versions.group_by("level", "period", "rule").agg(
        version=pl.col("rule_hash").filter(most).sort().first(),
        changeover=pl.col("reports").max() < MOSTLY * pl.col("reports").sum(),
    )
    changed = (pl.col("version") != pl.col("version").shift()).fill_null(value=False)
    return found.sort("rule", "period").select(
        pl.col("level").cast(LENGTHS),
        "period",
        "rule",
        phase=changed.cum_sum().over("rule").cast(pl.UInt32),
        changeover="changeover",
    )
