"""published: what leadership may see, after small counts are suppressed; the dashboard reads nothing else.

One row for each rule and calendar period. Months lie in quarters and quarters in years, so no two
published periods overlap in part. A count of 1 to 10 is never shown, and neither is what would give it away.
"""

from __future__ import annotations

import polars as pl

from qa_audit.tables.scores import SCORE_COLUMNS
from qa_audit.tables.table import Column, Table

LEVELS = pl.Enum(["month", "quarter", "year"])
SMALL_COUNT = 10
"""Counts from 1 to this are never shown (cell-size policy of CMS, as quoted by data-use guides)."""

COUNTS = {
    "met": "reports met",
    "not_met": "reports not met (care findings)",
    "judged": "reports met or not met",
    "cannot_tell": "reports that cannot be told",
    "applied": "reports the rule applied to",
    "not_documented": "of cannot_tell: charting gaps",
    "not_assessable": "reports whose records have no field for it",
    "system": "of not_met: findings that only the service can answer",
}
HIDDEN = "not shown: it is 1 to 10, or a count of 1 to 10 would follow from it"
_SHARES = {
    name: Column(column.dtype, column.meaning, f"not shown, or {column.null}")
    for name, column in SCORE_COLUMNS.items()
    if name not in COUNTS
}

PUBLISHED = Table(
    "published",
    {
        "level": Column(LEVELS, "length of the period"),
        "period": Column(pl.String, "YYYY-MM, YYYY-Qn or YYYY"),
        "last_month": Column(pl.String, "YYYY-MM of the period's last calendar month: it is shown from then on"),
        "rule": Column(pl.String, "rule id"),
        **{name: Column(pl.UInt32, meaning, HIDDEN) for name, meaning in COUNTS.items()},
        **_SHARES,
    },
)

PERIODS_SHOWN = Table(
    "periods_shown",
    {
        "as_of": Column(pl.String, "YYYY-MM of the page"),
        "rule": Column(pl.String, "rule id"),
        "level": Column(LEVELS, "the finest length of period at which most of the rule's scores can be shown"),
    },
)
