"""The admitted reports as the checks look at them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import polars as pl

from qa_audit.tables import Batch


def is_ours() -> pl.Expr:
    """Say whether a fact is this crew's, or may be: `by_others` is false or unknown."""
    return ~pl.col("by_others").fill_null(value=False)


def every(holds: pl.Expr) -> list[pl.Expr]:
    """Aggregate entries to reports: the statement holds for every entry asked."""
    return [holds.all().alias("holds")]


@dataclass(frozen=True)
class Sheet:
    """The tables a check reads, the edition's concepts, the thresholds and the agency's time zone (null: none set)."""

    batch: Batch
    concepts: Mapping[str, frozenset[str]]
    thresholds: Mapping[str, float]
    time_zone: str | None

    @property
    def reports(self) -> pl.LazyFrame:
        """The admitted reports."""
        return self.batch.reports

    @property
    def facts(self) -> pl.LazyFrame:
        """The facts of the admitted reports."""
        return self.batch.facts

    def entries(self, *concepts: str) -> pl.LazyFrame:
        """Return the facts of the concepts, whatever their status and whoever they are by."""
        items = sorted(frozenset[str]().union(*(self.concepts[name] for name in concepts)))
        return self.facts.filter(pl.col("item").is_in(items))

    def done(self, *concepts: str) -> pl.LazyFrame:
        """Return what is documented as done or present by this crew."""
        return self.entries(*concepts).filter(pl.col("status") == "present", is_ours())

    def of_elements(self, *prefixes: str) -> pl.LazyFrame:
        """Return this crew's facts of the elements that begin with one of the prefixes, negated ones left out."""
        wanted = pl.any_horizontal(pl.col("item").cat.starts_with(prefix) for prefix in prefixes)
        return self.facts.filter(wanted, is_ours(), pl.col("status") != "negated")

    def answer(self, asked: pl.LazyFrame, exists: pl.LazyFrame) -> pl.LazyFrame:
        """Ask the reports of `asked` whether `exists` has a row of theirs; gives `report`, `holds`."""
        return (
            asked.select("report")
            .unique()
            .join(exists.select("report", holds=pl.lit(value=True)).unique(), on="report", how="left")
            .with_columns(pl.col("holds").fill_null(value=False))
        )
