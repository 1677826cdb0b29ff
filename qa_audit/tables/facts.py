"""facts: one row for each thing documented, sorted by item, report and time.

An item is an element and a code (`eProcedures.03=425447009`), an element alone for
a measurement (`eVitals.12`), or `custom:ID=value` / `custom:ID` for an agency's own field.
The facts of one procedure, medication, vitals or equipment group share a `call_group`;
call groups are numbered in document order inside a report.
"""

from __future__ import annotations

import polars as pl

from qa_audit.tables.table import INSTANT, Column, Table

STATUSES = pl.Enum(["present", "negated", "missing"])
ORIGINS = pl.Enum(["coded", "custom"])

FACTS = Table(
    "facts",
    {
        "fact": Column(pl.UInt32, "number of the fact inside its month version, in sorted order"),
        "report": Column(pl.UInt32, "the report it stands in"),
        "item": Column(pl.Categorical, "element and code, or element alone (see above)"),
        "time": Column(INSTANT, "when it was done, taken or confirmed", "not recorded"),
        "until": Column(INSTANT, "when it ended", "the standard records no end"),
        "value": Column(pl.Float64, "measurement or dose in `unit`", "none recorded"),
        "unit": Column(
            pl.String, "normalised unit: L/min, mmHg, mg, ...; unknown units keep their code", "no unit recorded"
        ),
        "count": Column(pl.UInt8, "attempts (eProcedures.05)", "not recorded"),
        "success": Column(pl.Boolean, "successful (eProcedures.06)", "not recorded"),
        "member": Column(pl.String, "pseudonym P-... of who did it, or whose equipment it is", "nobody named"),
        "role": Column(pl.String, "role code of who did it (9905...)", "not recorded"),
        "status": Column(
            STATUSES,
            "present: documented; negated: documented as not done or absent; missing: the element stands empty",
        ),
        "why": Column(pl.String, "word of the NV or PN code, or unknown_code", "no such code"),
        "call_group": Column(
            pl.UInt16, "ties the facts of one group, and what a CorrelationID ties to it", "stands alone"
        ),
        "origin": Column(ORIGINS, "coded: the standard's element; custom: an agency's own"),
        "by_others": Column(pl.Boolean, "done by somebody who is not this crew", "unknown"),
    },
)
