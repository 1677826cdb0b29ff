"""trends: a rule's published scores over time, as a page of one month may draw them.

A point is one period of `level`. A new phase begins when what judges in the rule changed; each
phase has its own centre and limits, and no test reaches across phases.
"""

from __future__ import annotations

import polars as pl

from qa_audit.tables.published import LEVELS
from qa_audit.tables.table import Column, Table

CHARTS = pl.Enum(["values", "run_chart", "p_chart"])
SIGNALS = pl.Enum(["signal", "watch"])

TRENDS = Table(
    "trends",
    {
        "as_of": Column(pl.String, "YYYY-MM of the page; only periods up to it"),
        "rule": Column(pl.String, "rule id"),
        "level": Column(LEVELS, "length of the periods"),
        "period": Column(pl.String, "YYYY-MM, YYYY-Qn or YYYY"),
        "phase": Column(pl.UInt32, "0, 1, ...: grows when what judges in the rule changed"),
        "changeover": Column(
            pl.Boolean, "more than one version of the rule judged in the period: drawn hollow, not tested"
        ),
        "share": Column(pl.Float64, "met / judged", "nothing judged, or not shown"),
        "judged": Column(pl.UInt32, "reports judged", "as share"),
        "gaps": Column(pl.Float64, "charting gaps / applied", "applied to no report, or not shown"),
        "chart": Column(CHARTS, "values: under 10 useful points; run_chart: 10 to 19; p_chart: 20 and more"),
        "centre": Column(
            pl.Float64, "median of the phase's points, in a p_chart the share of its baseline", "no point"
        ),
        "lower": Column(pl.Float64, "lower limit, three standard deviations", "no p_chart"),
        "upper": Column(pl.Float64, "upper limit", "no p_chart"),
        "provisional": Column(pl.Boolean, "the baseline has fewer than its 24 points, so its limits still move"),
        "point": Column(SIGNALS, "signal: outside the limits and the exact tail agrees; watch: outside only", "inside"),
        "run": Column(pl.Boolean, "the phase has too long a run or too few crossings up to as_of"),
    },
)
