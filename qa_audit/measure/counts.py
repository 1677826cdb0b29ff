"""Counts: rolled-up reports by month, rule and recipient, and by reason."""

from __future__ import annotations

import polars as pl

from qa_audit.tables import FIGURES
from qa_audit.tables.reasons import REASONS

NOT_ASSESSABLE, NO_EDITION, NOT_DOCUMENTED = "not_assessable", "no_edition", "not_documented"
SERVICE = pl.lit(None, dtype=pl.String).alias("recipient")


def counts(rolled: pl.DataFrame) -> pl.DataFrame:
    """Return FIGURES: for each month and rule the whole service (recipient null) first, then each recipient.

    A report whose recipient is not known counts for the service alone.
    """
    service = _counted(rolled, "month", "rule").with_columns(SERVICE)
    each = _counted(rolled.filter(pl.col("recipient").is_not_null()), "month", "rule", "recipient")
    both = pl.concat([service, each], how="diagonal").sort("month", "rule", "recipient", nulls_last=False)
    return FIGURES.conform(both.lazy()).collect()


def reasons(rolled: pl.DataFrame) -> pl.DataFrame:
    """Return REASONS of the whole service."""
    keys = ("month", "rule", "outcome", "reason")
    counted = rolled.group_by(keys).agg(reports=pl.len()).sort(keys)
    return REASONS.conform(counted.lazy()).collect()


def _counted(rolled: pl.DataFrame, *keys: str) -> pl.DataFrame:
    outcome, reason = pl.col("outcome"), pl.col("reason")
    untold = outcome == "cannot_tell"
    apart = untold & reason.is_in([NOT_ASSESSABLE, NO_EDITION])
    return rolled.group_by(keys).agg(
        met=(outcome == "met").sum(),
        not_met=(outcome == "not_met").sum(),
        cannot_tell=(untold & ~apart).sum(),
        not_documented=(untold & (reason == NOT_DOCUMENTED)).sum(),
        not_assessable=(untold & (reason == NOT_ASSESSABLE)).sum(),
        no_edition=(untold & (reason == NO_EDITION)).sum(),
        excepted=(outcome == "excepted").sum(),
        excluded=(outcome == "excluded").sum(),
        system=pl.col("by_system").sum(),
    )
