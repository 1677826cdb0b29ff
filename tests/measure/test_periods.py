"""Periods: calendar quarters and years."""

from __future__ import annotations

import polars as pl
import pytest

from qa_audit.measure.periods import with_period


@pytest.mark.parametrize(
    ("month", "level", "period", "last"),
    [
        ("2026-01", "month", "2026-01", "2026-01"),
        ("2026-01", "quarter", "2026-Q1", "2026-03"),
        ("2026-03", "quarter", "2026-Q1", "2026-03"),
        ("2026-12", "quarter", "2026-Q4", "2026-12"),
        ("2026-07", "year", "2026", "2026-12"),
    ],
)
def test_a_month_lies_in_one_period_of_each_length(month: str, level: str, period: str, last: str) -> None:
    found = with_period(pl.DataFrame({"month": [month]}), level).row(0, named=True)
    assert (found["period"], found["last_month"]) == (period, last)
