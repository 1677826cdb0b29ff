"""held_back: one row for each report read and not admitted; never the raw record."""

from __future__ import annotations

import polars as pl

from qa_audit.tables.table import Column, Table

CHECKS = pl.Enum(
    [
        "unreadable",
        "not_emsdataset",
        "version_not_supported",
        "identifiers_refused",
        "no_uuid",
        "no_unit_notified",
        "superseded",
        "outside_month",
        "other_agency",
    ]
)
REFUSED_INPUT = ("unreadable", "not_emsdataset", "version_not_supported", "identifiers_refused")
"""Checks that set exit code 3."""
NOT_IN_THE_SHARE = ("superseded", "outside_month", "other_agency")
"""Checks that do not count toward the gate's share."""

HELD_BACK = Table(
    "held_back",
    {
        "month": Column(pl.String, "month folder it is filed under", "no readable date: filed under undated/"),
        "source": Column(pl.UInt32, "ordinal of the input file in reading order"),
        "source_sha256": Column(pl.String, "SHA-256 of the input file"),
        "position": Column(pl.Int64, "byte offset of the report in its file, or row number", "the whole file"),
        "report_id": Column(pl.String, "pseudonym of the report", "unknown, or its file was refused for identifiers"),
        "check": Column(CHECKS, "why it was held back"),
        "sentence": Column(pl.String, "what was found, what is allowed, what to do; no value of the record"),
        "record_sha256": Column(pl.String, "SHA-256 of the report's bytes"),
    },
)
