from __future__ import annotations

import polars as pl
import pytest

from qa_audit import tables
from qa_audit.tables import FACTS, Column, Table

EVERY = [value for value in vars(tables).values() if isinstance(value, Table)]


@pytest.mark.parametrize("table", EVERY, ids=lambda table: table.name)
def test_every_column_says_what_it_means_and_what_null_means(table: Table) -> None:
    assert table.columns
    for name, column in table.columns.items():
        assert column.meaning, name
        assert column.null, name


def test_rows_become_a_frame_and_missing_columns_are_null() -> None:
    frame = FACTS.frame([{"fact": 1, "report": 2, "item": "eVitals.12", "status": "present", "origin": "coded"}])
    assert frame.schema == FACTS.empty().schema
    assert frame["value"].to_list() == [None]


def test_conform_orders_and_casts_and_refuses_a_missing_column() -> None:
    table = Table("pair", {"a": Column(pl.Int8, "first"), "b": Column(pl.String, "second")})
    assert table.conform(pl.LazyFrame({"b": ["x"], "a": [1]})).collect().schema == {"a": pl.Int8, "b": pl.String}
    with pytest.raises(pl.exceptions.ColumnNotFoundError):
        table.conform(pl.LazyFrame({"a": [1]})).collect()
