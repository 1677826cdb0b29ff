"""Batch: the tables of one run, or of one stored month, as lazy frames."""

from __future__ import annotations

from dataclasses import dataclass, replace

import polars as pl


@dataclass(frozen=True)
class Source:
    """One input file: its ordinal, SHA-256 and how many reports were read from it."""

    ordinal: int
    sha256: str
    reports: int


@dataclass(frozen=True)
class Batch:
    """What was read, each table as documented in its own file; `held_back` grows at the gate.

    Reports read = rows of `reports` + rows of `held_back`, at every stage.
    """

    reports: pl.LazyFrame
    facts: pl.LazyFrame
    members: pl.LazyFrame
    narratives: pl.LazyFrame
    records: pl.LazyFrame
    remarks: pl.LazyFrame
    definitions: pl.DataFrame
    held_back: pl.DataFrame
    sources: tuple[Source, ...]

    def keep(self, reports: pl.LazyFrame) -> Batch:
        """Return the batch with the given rows of `reports` and only what belongs to them."""
        wanted = reports.select("report")

        def of(table: pl.LazyFrame) -> pl.LazyFrame:
            return table.join(wanted, on="report", how="semi", maintain_order="left")

        return replace(
            self,
            reports=reports,
            facts=of(self.facts),
            members=of(self.members),
            narratives=of(self.narratives),
            records=of(self.records),
            remarks=of(self.remarks),
        )
