"""composites: the rules of a month taken together, in the two forms of HL7's composite-measure scoring."""

from __future__ import annotations

import polars as pl

from qa_audit.tables.scores import SCORE_COLUMNS
from qa_audit.tables.table import Column, Table

FORMS = pl.Enum(["opportunity", "all_or_none"])

COMPOSITES = Table(
    "composites",
    {
        "month": Column(pl.String, "YYYY-MM"),
        "form": Column(
            FORMS, "opportunity: the rules' counts added; all_or_none: reports met on every rule that judged them"
        ),
        "met": Column(pl.UInt32, "opportunities, or reports, met"),
        "not_met": Column(pl.UInt32, "opportunities, or reports, not met"),
        "cannot_tell": Column(pl.UInt32, "opportunities, or reports, that cannot be told"),
        **SCORE_COLUMNS,
    },
)
