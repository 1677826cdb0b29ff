"""remarks: what ingest stripped or noticed while reading, one row for each; no value beyond a bare code.

Kinds are words of the gate: it names, explains and counts them on the data-quality page.
"""

from __future__ import annotations

import polars as pl

from qa_audit.tables.table import Column, Table

REMARKS = Table(
    "remarks",
    {
        "report": Column(pl.UInt32, "the report"),
        "element": Column(pl.String, "element it concerns", "the report as a whole"),
        "remark": Column(pl.String, "what was noticed, a word: unknown_code, not_a_number, value_beside_nil, ..."),
        "code": Column(
            pl.String, "the code that was stripped, digits and ICD letters only", "not code-shaped, or nothing stripped"
        ),
    },
)
