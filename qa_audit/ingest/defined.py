"""Definitions: the agency's own elements over all Headers of a run."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

import polars as pl

from qa_audit.ingest.blocks import Use
from qa_audit.ingest.header import Definition
from qa_audit.tables import DEFINITIONS


def definitions(of_files: Iterable[Counter[Use]]) -> pl.DataFrame:
    """Return a row for each id defined or used; of Headers that differ the first counts, with all their values."""
    defined: dict[str, Definition] = {}
    values: dict[str, set[str]] = {}
    reports: Counter[str] = Counter()
    for used in of_files:
        for (custom_id, definition), count in used.items():
            reports[custom_id] += count
            if definition:
                defined.setdefault(custom_id, definition)
                values.setdefault(custom_id, set()).update(definition.values)
    names = sorted(reports)
    frame = DEFINITIONS.frame(
        [
            {
                "custom_id": name,
                "extends": defined[name].extends if name in defined else None,
                "data_type": defined[name].data_type if name in defined else None,
                "values": sorted(values.get(name, ())),
                "reports": reports[name],
            }
            for name in names
        ]
    )
    return frame.with_columns(pl.col("values").fill_null([]))
