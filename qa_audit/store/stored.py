"""What goes into the store and what comes out: a month to save, and a month that is stored."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

import polars as pl

from qa_audit.store import month_files
from qa_audit.tables import Table
from qa_audit.tables.batch import Source


@dataclass(frozen=True)
class MonthToSave:
    """One month of a run; `tables` holds every kept table by name (for `undated` held-back rows alone will do).

    Facts come sorted by item, report and time, numbered in that order; `audited_on` is for a new version alone.
    """

    month: str
    audited_on: date
    sources: tuple[Source, ...]
    tables: month_files.Frames


@dataclass(frozen=True)
class Stored:
    """One version of a month, as it lies in the store; nothing ever changes it.

    `audited_on` is the day of the version's first audit, which pages show in place of the clock.
    """

    month: str
    version: int
    audited_on: date
    sources: tuple[Source, ...]
    folder: Path

    def scan(self, table: Table) -> pl.LazyFrame:
        """Return one of its tables, lazily: rows in stored order, columns as the table documents them."""
        return month_files.scan(self.folder, table)
