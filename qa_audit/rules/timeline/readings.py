"""Readings on a therapy: one merged timeline that says which time is judged and which readings count in it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

import polars as pl

from qa_audit.rules.view import ChartView

NOTHING = timedelta(0)
BLOCKS, UNBLOCKS, READS = 0, 1, 2
"""Order of what happens at one instant: what blocks comes first, so that no window leaves a crack to the next."""


@dataclass(frozen=True)
class Saturation:
    """The measurement, its readable range, and the words of an empty entry that say it could not be had."""

    concept: str
    lowest: float
    highest: float
    unobtainable: tuple[str, ...]


def blocked_stretches(
    therapies: pl.LazyFrame, rows: pl.LazyFrame, windows: pl.LazyFrame, settle: timedelta
) -> pl.LazyFrame:
    """Return `therapy`, `opens`, `closes`, `is_pause`: settle time, pauses and exempt windows inside each therapy."""
    starts = therapies.select("therapy", opens="start", closes=pl.col("start") + settle, is_pause=pl.lit(value=False))
    unsettled = rows.filter(pl.col("changed") | pl.col("resumes")).select(
        "therapy", opens="time", closes=pl.col("time") + settle, is_pause=pl.lit(value=False)
    )
    pauses = rows.filter("resumes").select("therapy", opens="stopped_at", closes="time", is_pause=pl.lit(value=True))
    spans = therapies.select("therapy", "report", "start", "end")
    exempt = spans.join(windows, on="report").select(
        "therapy", "opens", closes=pl.coalesce("closes", "end"), is_pause=pl.lit(value=False)
    )
    every = pl.concat([starts, unsettled, pauses, exempt]).join(spans, on="therapy")
    clipped = every.select(
        "therapy",
        "is_pause",
        opens=pl.max_horizontal("opens", "start"),
        closes=pl.min_horizontal("closes", "end"),
    )
    return clipped.filter(pl.col("opens") < pl.col("closes"))


def own_entries(view: ChartView, saturation: Saturation, therapies: pl.LazyFrame) -> pl.LazyFrame:
    """Return this unit's saturation entries inside a therapy, one an instant.

    Columns: `therapy`, `time`, `value` (the lowest readable one, null when none is), `entries`, `unobtainable`.
    """
    own = view.facts(saturation.concept).filter(
        pl.col("by_others").not_(),
        pl.col("time").is_not_null(),
        ~pl.col("in_conflict"),
    )
    readable = pl.col("value").is_between(saturation.lowest, saturation.highest) & (pl.col("status") == "present")
    nil = pl.col("status").ne("present") & pl.col("why").is_in(saturation.unobtainable)
    inside = own.join(therapies.select("therapy", "report", "start", "end"), on="report").filter(
        pl.col("time").is_between("start", "end")
    )
    return inside.group_by("therapy", "time").agg(
        value=pl.col("value").filter(readable).min(), entries=pl.len(), unobtainable=nil.fill_null(value=False).sum()
    )


def timeline_of(therapies: pl.LazyFrame, blocked: pl.LazyFrame, entries: pl.LazyFrame) -> pl.LazyFrame:
    """Return every boundary and entry of every therapy in time order.

    Columns: `therapy`, `time`, `value`, `entries`, `unobtainable`, `judged` (the time from here on is judged),
    `paused`, `lasts` (until the next row), `stretch_end` (of judged time).
    """
    span = therapies.select("therapy", "start", "end")
    happenings = pl.concat(
        [
            _happening(span, "start", order=UNBLOCKS, blocks=-1),
            _happening(span, "end", order=BLOCKS, blocks=1),
            _happening(blocked, "opens", order=BLOCKS, blocks=1, pauses=pl.col("is_pause").cast(pl.Int32)),
            _happening(blocked, "closes", order=UNBLOCKS, blocks=-1, pauses=-pl.col("is_pause").cast(pl.Int32)),
            entries.select(
                "therapy", "time", "value", "entries", "unobtainable", order=pl.lit(READS, pl.Int32),
                blocks=pl.lit(0, pl.Int32), pauses=pl.lit(0, pl.Int32),
            ),
        ],
        how="diagonal",
    )  # fmt: skip
    # Each therapy's blocks and pauses add up to nothing, so one running sum serves them all.
    levelled = happenings.sort("therapy", "time", "order").with_columns(
        judged=pl.col("blocks").cum_sum() == -1, paused=pl.col("pauses").cum_sum() > 0
    )
    follows = pl.col("therapy") == pl.col("therapy").shift(-1)
    return levelled.with_columns(
        lasts=pl.when(follows).then(pl.col("time").shift(-1) - pl.col("time")).otherwise(NOTHING),
        stretch_end=pl.when(~pl.col("judged")).then("time").backward_fill(),
    )


def _happening(
    frame: pl.LazyFrame, column: str, *, order: int, blocks: int, pauses: pl.Expr | None = None
) -> pl.LazyFrame:
    return frame.select(
        "therapy",
        time=column,
        order=pl.lit(order, pl.Int32),
        blocks=pl.lit(blocks, pl.Int32),
        pauses=pl.lit(0, pl.Int32) if pauses is None else pauses,
    )


def counted_of(timeline: pl.LazyFrame) -> pl.LazyFrame:
    """Return the readings in judged time: `therapy`, `time`, `value`, `stretch_end`, in time order."""
    counted = timeline.filter(pl.col("value").is_not_null(), "judged")
    return counted.select("therapy", "time", "value", "stretch_end")
