"""check_results: one row for each gate check of a run: what was asked and how many reports failed it."""

from __future__ import annotations

import polars as pl

from qa_audit.tables.table import Column, Table

VERDICTS = pl.Enum(["hold_back", "strip", "warn"])

CHECK_RESULTS = Table(
    "check_results",
    {
        "check": Column(pl.String, "id of the check, in words"),
        "family": Column(pl.String, "completeness, plausibility, chronology, coherence or identifiers"),
        "verdict": Column(VERDICTS, "what a failure leads to"),
        "sentence": Column(pl.String, "what is checked, in plain words"),
        "basis": Column(pl.String, "where the check comes from"),
        "asked": Column(pl.UInt32, "reports it was asked of"),
        "failed": Column(pl.UInt32, "reports that failed it"),
        "failed_reports": Column(pl.List(pl.UInt32), "the failing reports' numbers, sorted"),
    },
)

RUN_CHECK_RESULTS = Table(
    "run_check_results",
    {
        **CHECK_RESULTS.columns,
        "asked_reports": Column(pl.List(pl.UInt32), "the numbers of the reports it was asked of"),
    },
)
"""check_results of a whole run, from which each month's are counted."""
