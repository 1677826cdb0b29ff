"""Composites: the rules of a month taken together, by opportunity and all-or-none.

Source: HL7 composite-measure-scoring (opportunity adds the components' counts; all-or-nothing asks
for every component whose denominator holds the case).
"""

from __future__ import annotations

import polars as pl

from qa_audit.measure.counts import NO_EDITION, NOT_ASSESSABLE
from qa_audit.measure.scoring import scored
from qa_audit.tables.composites import COMPOSITES

_COUNTED = ("met", "not_met", "cannot_tell")


def composites(rolled: pl.DataFrame) -> pl.DataFrame:
    """Return COMPOSITES of the whole service, a row a month and form; takes the rolled-up reports."""
    asked = rolled.filter(
        pl.col("outcome").cast(pl.String).is_in(_COUNTED)
        & ~pl.col("reason").is_in([NOT_ASSESSABLE, NO_EDITION]).fill_null(value=False)
    )
    # The order of the roll-up serves here too: one rule not met, and the report is not met on all.
    whole = asked.group_by("month", "report").agg(pl.col("outcome").min())
    forms = [
        _by_month(asked).with_columns(form=pl.lit("opportunity")),
        _by_month(whole).with_columns(form=pl.lit("all_or_none")),
    ]
    both = scored(pl.concat(forms)).with_columns(pl.col("form").cast(COMPOSITES.schema["form"]))
    return COMPOSITES.conform(both.sort("month", "form").lazy()).collect()


def _by_month(outcomes: pl.DataFrame) -> pl.DataFrame:
    return outcomes.group_by("month").agg((pl.col("outcome") == outcome).sum().alias(outcome) for outcome in _COUNTED)
