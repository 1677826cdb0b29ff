"""What a table is: its columns, each with type, meaning, unit and what null means."""

from __future__ import annotations

from dataclasses import dataclass, field

import polars as pl
from polars.datatypes import DataType, DataTypeClass

Dtype = DataType | DataTypeClass

INSTANT = pl.Datetime("ms", "UTC")
"""Every time in every table: whole milliseconds UTC, further digits cut."""


@dataclass(frozen=True)
class Column:
    """One column: its polars type, what a value means (with unit), what null means."""

    dtype: Dtype
    meaning: str
    null: str = "never"


@dataclass(frozen=True)
class Table:
    """A table that one stage hands to the next."""

    name: str
    columns: dict[str, Column] = field(hash=False)

    @property
    def schema(self) -> dict[str, Dtype]:
        """The polars schema, in column order."""
        return {name: column.dtype for name, column in self.columns.items()}

    def empty(self) -> pl.DataFrame:
        """Return the table without rows."""
        return pl.DataFrame(schema=self.schema)

    def conform(self, frame: pl.LazyFrame) -> pl.LazyFrame:
        """Select this table's columns in order and cast each to its type; raises on a missing column."""
        return frame.select(pl.col(name).cast(dtype) for name, dtype in self.schema.items())

    def frame(self, rows: list[dict[str, object]]) -> pl.DataFrame:
        """Make the table from rows; a column that a row lacks is null there."""
        filled = [{name: row.get(name) for name in self.columns} for row in rows]
        return pl.DataFrame(filled, schema=self.schema, orient="row")
