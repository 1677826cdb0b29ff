"""Between the stages and the store: months as they come from the gate or the store, and as they are put away."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from io import BytesIO
from pathlib import Path
from typing import Any

import polars as pl

from qa_audit.store import UNDATED, MonthToSave, RunIdentity, Store, Stored, write_atomically
from qa_audit.tables import (
    CHECK_RESULTS,
    DEFINITIONS,
    DETERMINATIONS,
    FACTS,
    HELD_BACK,
    MEMBERS,
    NARRATIVES,
    RECORDS,
    REMARKS,
    REPORTS,
    Batch,
    Month,
    filing,
)


@dataclass(frozen=True)
class Unjudged:
    """A month that was gated and not yet judged; `undated` holds only held-back rows."""

    month: str
    batch: Batch
    check_results: pl.DataFrame
    determinations: pl.DataFrame

    def judged(self, determinations: pl.DataFrame) -> Unjudged:
        """Return the month with its determinations."""
        return Unjudged(self.month, self.batch, self.check_results, determinations)


def from_gate(batch: Batch, check_results: pl.DataFrame) -> list[Unjudged]:
    """Take a gated batch apart into its months, `undated` last when something belongs to no month."""
    months = [
        Unjudged(month, part, results, DETERMINATIONS.empty())
        for month, part, results in filing.by_month(batch, check_results)
    ]
    loose = filing.undated(batch)
    return (
        [*months, Unjudged(UNDATED, loose, CHECK_RESULTS.empty(), DETERMINATIONS.empty())]
        if loose.held_back.height
        else months
    )


def from_store(stored: Sequence[Stored]) -> list[Unjudged]:
    """Return stored months, ready to be judged again."""
    return [
        Unjudged(each.month, _batch(each), each.scan(CHECK_RESULTS).collect(), DETERMINATIONS.empty())
        for each in stored
    ]


def to_store(store: Store, months: Sequence[Unjudged], identity: RunIdentity, audited_on: date) -> list[Month]:
    """Save the months of a run in one transaction and return them as they are then stored."""
    saved = store.save([_to_save(month, audited_on) for month in months], identity)
    return [_month(each) for each in saved]


def whose_trend_changed(store: Store, saved: Sequence[Month]) -> list[Month]:
    """Return the dated months to be drawn: those of the run, and later ones, whose trend looks back on them."""
    dated = {month.month: month for month in saved if month.month != UNDATED}
    later = [month for month in store.months() if dated and month > min(dated) and month not in dated]
    others = {month: _month(found) for month in later if (found := store.current(month))}
    return [month for _, month in sorted({**dated, **others}.items())]


def leave_beside_the_pages(month: Month, summary: dict[str, Any], out: Path) -> None:
    """Write summary.json, held_back.parquet and (for a dated month) determinations.parquet into the month's folder."""
    folder = out / month.month
    write_atomically(folder / "summary.json", (json.dumps(summary, indent=2, ensure_ascii=False) + "\n").encode())
    write_atomically(folder / "held_back.parquet", _parquet(month.batch.held_back))
    if month.month != UNDATED:
        write_atomically(folder / "determinations.parquet", _parquet(month.determinations))


def _parquet(frame: pl.DataFrame) -> bytes:
    buffer = BytesIO()
    frame.write_parquet(buffer, compression="zstd", compression_level=3)
    return buffer.getvalue()


def _to_save(month: Unjudged, audited_on: date) -> MonthToSave:
    batch = month.batch
    tables: dict[str, pl.DataFrame | pl.LazyFrame] = {HELD_BACK.name: batch.held_back}
    if month.month != UNDATED:
        tables |= {
            REPORTS.name: batch.reports,
            FACTS.name: batch.facts,
            MEMBERS.name: batch.members,
            NARRATIVES.name: batch.narratives,
            REMARKS.name: batch.remarks,
            DEFINITIONS.name: batch.definitions,
            CHECK_RESULTS.name: month.check_results,
            DETERMINATIONS.name: month.determinations,
        }
    return MonthToSave(month.month, audited_on, batch.sources, tables)


def _month(stored: Stored) -> Month:
    return Month(
        month=stored.month,
        version=stored.version,
        audited_on=stored.audited_on,
        batch=_batch(stored),
        check_results=stored.scan(CHECK_RESULTS).collect(),
        determinations=stored.scan(DETERMINATIONS).collect(),
    )


def _batch(stored: Stored) -> Batch:
    return Batch(
        reports=stored.scan(REPORTS),
        facts=stored.scan(FACTS),
        members=stored.scan(MEMBERS),
        narratives=stored.scan(NARRATIVES),
        records=RECORDS.empty().lazy(),
        remarks=stored.scan(REMARKS),
        definitions=stored.scan(DEFINITIONS).collect(),
        held_back=stored.scan(HELD_BACK).collect(),
        sources=stored.sources,
    )
