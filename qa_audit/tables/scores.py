"""scores: the shares that belong to a row of figures, for the service and for each recipient and month.

`judged` is met + not_met; `applied` (N) is judged + cannot_tell, without not_assessable and no_edition.
"""

from __future__ import annotations

import polars as pl

from qa_audit.tables.table import Column, Table

NOTHING_JUDGED = "no report was met or not met"
SCORE_COLUMNS = {
    "judged": Column(pl.UInt32, "reports met or not met"),
    "applied": Column(pl.UInt32, "reports the rule applied to: judged and those that cannot be told"),
    "share": Column(pl.Float64, "met / judged", NOTHING_JUDGED),
    "low": Column(pl.Float64, "lower end of Wilson's 95 % interval of the share", NOTHING_JUDGED),
    "high": Column(pl.Float64, "upper end of it", NOTHING_JUDGED),
    "least": Column(pl.Float64, "lower bound: met / applied", "the rule applied to no report"),
    "most": Column(pl.Float64, "upper bound: (met + cannot_tell) / applied", "as least"),
    "headline": Column(
        pl.Boolean, "the share may stand alone: something judged, at most 30 % of applied cannot be told"
    ),
}

SCORES = Table(
    "scores",
    {
        "month": Column(pl.String, "YYYY-MM"),
        "rule": Column(pl.String, "rule id"),
        "recipient": Column(pl.String, "the recipient counted", "the whole service"),
        **SCORE_COLUMNS,
    },
)
