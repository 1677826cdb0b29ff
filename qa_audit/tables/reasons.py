"""reasons: one row for each month, rule, outcome and reason of the whole service, in reports after the roll-up."""

from __future__ import annotations

import polars as pl

from qa_audit.tables.determinations import OUTCOMES
from qa_audit.tables.table import Column, Table

REASONS = Table(
    "reasons",
    {
        "month": Column(pl.String, "YYYY-MM"),
        "rule": Column(pl.String, "rule id"),
        "outcome": Column(OUTCOMES, "the report's outcome after the roll-up"),
        "reason": Column(pl.String, "why it cannot be told, is excluded or excepted", "met and not_met"),
        "reports": Column(pl.UInt32, "reports"),
    },
)
