"""records: where each report stands in its input, for holding it back; one row for each report that was read."""

from __future__ import annotations

import polars as pl

from qa_audit.tables.table import Column, Table

RECORDS = Table(
    "records",
    {
        "report": Column(pl.UInt32, "the report"),
        "position": Column(pl.Int64, "byte offset of the report in its file"),
        "record_sha256": Column(pl.String, "SHA-256 of the report's bytes"),
    },
)
