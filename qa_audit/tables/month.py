"""Month: one month version as it is stored, reported and verified."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import polars as pl

from qa_audit.tables.batch import Batch


@dataclass(frozen=True)
class Month:
    """One month: what was admitted and held back, the gate's results, and what the audit determined.

    `batch.held_back` holds the rows filed under this month; `month` is `YYYY-MM`.
    """

    month: str
    version: int
    audited_on: date
    batch: Batch
    check_results: pl.DataFrame
    determinations: pl.DataFrame

    @property
    def is_dated(self) -> bool:
        """Say whether this is a month, not what could not be dated."""
        return self.month[:1].isdigit()

    @property
    def admitted(self) -> int:
        """Reports that were admitted."""
        return int(self.batch.reports.select(pl.len()).collect().item())

    @property
    def held_back(self) -> int:
        """Reports that were held back."""
        return self.batch.held_back.height

    @property
    def reports_read(self) -> int:
        """Reports read: admitted and held back, always."""
        return self.admitted + self.held_back
