"""What every kind of check has in common."""

from __future__ import annotations

from abc import ABC, abstractmethod
from typing import ClassVar

import polars as pl
from pydantic import BaseModel, ConfigDict

from qa_audit.rules.view import ChartView

OPPORTUNITIES: dict[str, pl.DataType | type[pl.DataType]] = {
    "report": pl.UInt32,
    "member": pl.String,
    "time": pl.Datetime("ms", "UTC"),
    "until": pl.Datetime("ms", "UTC"),
    "outcome": pl.String,
    "reason": pl.String,
    "amount": pl.Float64,
    "by_system": pl.Boolean,
}
"""What `judge` gives: one row an opportunity (and member); `until` is its last act, `by_system` that the finding
rests on something the crew cannot answer."""


class CheckKind(BaseModel, ABC):
    """One way to check: its numbers and concepts are fields, its judgement is three pure methods."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    once_a_report: ClassVar[bool] = False
    """The opportunity is the report itself (or a member of its crew)."""
    amount_unit: ClassVar[str | None] = None

    @abstractmethod
    def anchor_name(self) -> str:
        """Return the concept whose facts open opportunities, as the rule file names it."""

    @abstractmethod
    def sentence(self) -> str:
        """Return the check in plain words, for rulebook and letters."""

    @abstractmethod
    def reads(self) -> frozenset[str]:
        """Return every concept and cohort the check names."""

    @abstractmethod
    def needs(self) -> tuple[str, ...]:
        """Return the concepts without which nothing can be told (any one of them is enough)."""

    @abstractmethod
    def judge(self, view: ChartView) -> pl.LazyFrame:
        """Return the opportunities, columns as OPPORTUNITIES; null never stands for met."""

    @abstractmethod
    def evidence(self, view: ChartView, opportunities: pl.LazyFrame) -> pl.LazyFrame:
        """Return `row`, `fact` for the given opportunities (`row`, `report`, `member`, `time`, `until`)."""


def as_opportunities(frame: pl.LazyFrame) -> pl.LazyFrame:
    """Select OPPORTUNITIES from a frame; a column that the frame lacks becomes null (`by_system` false)."""
    present = frame.collect_schema().names()
    blank = {"by_system": pl.lit(value=False)}
    return frame.select(
        (pl.col(name) if name in present else blank.get(name, pl.lit(None))).cast(dtype).alias(name)
        for name, dtype in OPPORTUNITIES.items()
    )
