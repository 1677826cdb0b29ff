"""definitions: the agency's own elements that the inputs define or use; titles are not kept."""

from __future__ import annotations

import polars as pl

from qa_audit.tables.table import Column, Table

DEFINITIONS = Table(
    "definitions",
    {
        "custom_id": Column(pl.String, "CustomElementID"),
        "extends": Column(pl.String, "the element or group it extends (nemsisElement)", "stands alone"),
        "data_type": Column(
            pl.String, "binary, date_time, number, other, text or boolean", "used without a definition"
        ),
        "values": Column(pl.List(pl.String), "declared values; empty when none"),
        "reports": Column(pl.UInt32, "reports with a result of it"),
    },
)
