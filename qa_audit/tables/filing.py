"""Filing: a run's batch taken apart into months, each numbered by itself so that it stands alone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import polars as pl

from qa_audit.tables.batch import Batch
from qa_audit.tables.check_results import CHECK_RESULTS
from qa_audit.tables.facts import FACTS


def by_month(batch: Batch, check_results: pl.DataFrame) -> Iterator[tuple[str, Batch, pl.DataFrame]]:
    """Yield each month with its own batch and check results; reports and facts are numbered from 0 inside it.

    A month stands here when a report of it was admitted or held back; held-back rows without a month stand in none.
    """
    reports = batch.reports.collect()
    months = set(reports["month"].drop_nulls()) | set(batch.held_back["month"].drop_nulls())
    for month in sorted(months):
        own = reports.filter(pl.col("month") == month).sort("report")
        yield month, _month(batch, own, month), _results(check_results, own)


def undated(batch: Batch) -> Batch:
    """Return an empty batch with the held-back rows that belong to no month."""
    loose = batch.held_back.filter(pl.col("month").is_null())
    nothing = batch.keep(batch.reports.clear())
    sources = tuple(source for source in batch.sources if source.ordinal in set(loose["source"]))
    return replace(nothing, held_back=loose, sources=sources)


def _results(run_results: pl.DataFrame, reports: pl.DataFrame) -> pl.DataFrame:
    """Return a run's check results as one month's, its reports by their new numbers."""
    numbers = reports.select(old="report").with_row_index("new")

    def counted(column: str) -> pl.DataFrame:
        its = run_results.select("check", old=column).explode("old").join(numbers, on="old")
        return its.group_by("check").agg(pl.col("new").sort().alias(column))

    joined = run_results.drop("asked_reports", "failed_reports")
    for column in ("asked_reports", "failed_reports"):
        joined = joined.join(counted(column), on="check", how="left", maintain_order="left")
        joined = joined.with_columns(pl.col(column).fill_null([]))
    lengths = {"asked": pl.col("asked_reports").list.len(), "failed": pl.col("failed_reports").list.len()}
    return CHECK_RESULTS.conform(joined.lazy().with_columns(**lengths)).collect()


def _month(batch: Batch, reports: pl.DataFrame, month: str) -> Batch:
    numbers = reports.lazy().select("report").with_row_index("number")

    def renumbered(table: pl.LazyFrame) -> pl.LazyFrame:
        columns = table.collect_schema().names()
        joined = table.join(numbers, on="report", how="inner", maintain_order="left")
        return joined.with_columns(report="number").select(columns).collect().lazy()

    sources = set(reports["source"]) | set(batch.held_back.filter(pl.col("month") == month)["source"])
    return replace(
        batch,
        reports=renumbered(reports.lazy()),
        facts=_sorted(renumbered(batch.facts)),
        members=renumbered(batch.members),
        narratives=renumbered(batch.narratives),
        records=renumbered(batch.records),
        remarks=renumbered(batch.remarks),
        held_back=batch.held_back.filter(pl.col("month") == month),
        sources=tuple(source for source in batch.sources if source.ordinal in sources),
    )


def _sorted(facts: pl.LazyFrame) -> pl.LazyFrame:
    """Sort by item, report, time and place in the document, and number the facts in that order."""
    spelled = facts.with_columns(spelled=pl.col("item").cast(pl.String))
    ordered = spelled.sort("spelled", "report", "time", "call_group", "fact", nulls_last=True)
    return FACTS.conform(ordered.with_columns(fact=pl.int_range(pl.len(), dtype=pl.UInt32))).collect().lazy()
