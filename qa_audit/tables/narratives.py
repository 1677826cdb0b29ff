"""narratives: free text whose identifier scan is clean; private, on no leadership page and in no letter."""

from __future__ import annotations

import polars as pl

from qa_audit.tables.table import Column, Table

NARRATIVES = Table(
    "narratives",
    {
        "report": Column(pl.UInt32, "the report"),
        "text": Column(pl.String, "eNarrative.01 as written"),
    },
)
