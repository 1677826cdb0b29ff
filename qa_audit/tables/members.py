"""members: one row for each crew member who is on a report's crew list."""

from __future__ import annotations

import polars as pl

from qa_audit.tables.table import Column, Table

MEMBERS = Table(
    "members",
    {
        "report": Column(pl.UInt32, "the report"),
        "member": Column(pl.String, "pseudonym P-... of eCrew.01", "an entry without id"),
        "level": Column(pl.String, "eCrew.02 code", "not recorded"),
        "roles": Column(pl.List(pl.String), "eCrew.03 codes, in document order; empty when none"),
        "ppe_recorded": Column(pl.Boolean, "an equipment group with at least one code names this member"),
        "exposure": Column(pl.Boolean, "eOther.05: suspected work-related exposure, injury or death", "not recorded"),
    },
)
