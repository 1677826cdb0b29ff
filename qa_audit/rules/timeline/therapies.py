"""Therapies: from this crew's oxygen entries to when oxygen ran, on what device, at what flow, and when it changed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

import polars as pl

from qa_audit.rules.view import ChartView, forward_fill_within, is_first_of

FLOW_UNIT = "L/min"
SHARE_THAT_IS_A_REDUCTION = 4
"""A quarter of the flow less on the same device is a reduction."""


@dataclass(frozen=True)
class Therapy:
    """What makes a therapy: concepts of the drug, its stop and its devices (lowest first), and its limits."""

    given: str
    stopped: str
    devices: tuple[tuple[str, ...], ...]
    pause: timedelta
    reduction: float

    def device_names(self) -> list[str]:
        """Return every device, lowest rank first."""
        return [device for rank in self.devices for device in rank]


def entries_of(view: ChartView, therapy: Therapy, *, in_conflict: bool = False) -> pl.LazyFrame:
    """Return this crew's timed entries, one an instant: `report`, `time`, `flow`, `device`, `is_stop`.

    With `in_conflict` those that the chart affirms and denies at one instant, and the stops.

    Of entries at one instant the greatest flow, then the higher device, is in force; what an entry leaves open
    (`flow`, `device` null) may stand in another of the same instant. A stop is a flow of 0.
    """
    contradicted = view.own_in_conflict(therapy.given).filter(pl.col("status") == "present")
    given = (contradicted if in_conflict else view.own(therapy.given)).filter(pl.col("time").is_not_null())
    flowing = given.select("report", "time", "call_group", flow=flow_of_entry(), direct=_device(view, therapy))
    routes = view.own(*therapy.device_names()).select("report", "call_group", tied=_device(view, therapy))
    routes = routes.drop_nulls().unique(("report", "call_group"))
    ranks = {name: rank for rank, names in enumerate(therapy.devices) for name in names}
    charted = flowing.join(routes, on=("report", "call_group"), how="left").select(
        "report", "time", "flow", device=pl.coalesce("direct", "tied")
    )
    stops = view.own(therapy.stopped).filter(pl.col("time").is_not_null())
    stopped = stops.select("report", "time", flow=pl.lit(0.0), device=pl.lit(None, pl.String))
    rank = pl.col("device").replace_strict(ranks, default=None, return_dtype=pl.Int8)
    return (
        pl.concat([charted, stopped])
        .with_columns(rank=rank)
        .sort("report", "time", "flow", "rank", nulls_last=False)
        .group_by("report", "time", maintain_order=True)
        .agg(pl.col("flow").last(), pl.col("device").drop_nulls().last())
        .with_columns(is_stop=(pl.col("flow") == 0).fill_null(value=False))
    )


def flow_of_entry() -> pl.Expr:
    """Return the flow of a charted dose: litres per minute or no unit is one, any other unit says nothing of it."""
    return pl.when(pl.col("unit").is_null() | (pl.col("unit") == FLOW_UNIT)).then("value")


def _device(view: ChartView, therapy: Therapy) -> pl.Expr:
    names = {item: name for name in therapy.device_names() for item in view.items(name)}
    return pl.col("item").cast(pl.String).replace_strict(names, default=None, return_dtype=pl.String)


def expected_end(view: ChartView, entries: pl.LazyFrame) -> pl.LazyFrame:
    """Return `report`, `milestone` (when care on oxygen should have ended, null when nothing says so), `latest_entry`.

    Transported: arrival, or hand-over when own oxygen is timed after arrival; others, or without an arrival time:
    hand-over; not transported: hand-over else leaving the scene.
    """
    last = entries.group_by("report").agg(last_entry=pl.col("time").max())
    arrived = pl.col("transported").fill_null(value=False) & pl.col("at_destination").is_not_null()
    on_after_arrival = pl.col("last_entry") > pl.col("at_destination")
    not_transported = pl.col("transported").not_().fill_null(value=False)
    milestone = (
        pl.when(arrived & ~on_after_arrival).then("at_destination")
        .when(not_transported).then(pl.coalesce("transfer_of_care", "left_scene"))
        .otherwise("transfer_of_care")
    )  # fmt: skip
    reports = view.reports.join(last, on="report").select("report", "last_entry", milestone=milestone)
    # Only reports without an end that follows every entry need the latest entry: it asks for every fact.
    open_ended = reports.filter(pl.col("milestone").is_null() | (pl.col("milestone") < pl.col("last_entry")))
    latest = view.latest_entry(open_ended)
    return reports.join(latest, on="report", how="left").select("report", "milestone", "latest_entry")


def rows_of(view: ChartView, therapy: Therapy, entries: pl.LazyFrame) -> pl.LazyFrame:
    """Return the entries of every therapy, in time order, with what each one does.

    Adds `therapy`, `resumes` (after the pause from `stopped_at`), `changed`, `reduced` (a stop reduces too).
    """
    ends = expected_end(view, entries)
    late = pl.col("milestone").is_not_null() & (pl.col("time") > pl.col("milestone"))
    stretched = entries.join(ends, on="report", how="left", maintain_order="left").with_columns(
        stretch=pl.col("report").cast(pl.Int64) * 2 + late.cast(pl.Int64), late=late
    )
    rows = _numbered(stretched.sort("stretch", "time"), therapy.pause)
    return _changes(rows, therapy)


def _numbered(entries: pl.LazyFrame, pause: timedelta) -> pl.LazyFrame:
    """Give each entry its therapy; stops that close nothing open nothing and are dropped."""
    running = ~pl.col("is_stop")
    first = is_first_of("stretch")
    follows_stop = pl.col("is_stop").shift(1).fill_null(value=False) & ~first
    entries = entries.with_columns(
        opened=pl.when(running).then(pl.col("stretch")).forward_fill() == pl.col("stretch"),
        first=first,
        again=pl.col("is_stop") & follows_stop,
    )
    # Of several stops in a row the first one counts; a stop before any oxygen is none.
    entries = entries.filter(pl.col("opened").fill_null(value=False) & ~pl.col("again"))
    first = is_first_of("stretch")
    stopped_at = pl.when(pl.col("is_stop").shift(1) & ~first).then(pl.col("time").shift(1))
    entries = entries.with_columns(first=first, stopped_at=stopped_at)
    too_late = (pl.col("time") - pl.col("stopped_at")) > pause
    opens = pl.col("first") | (~pl.col("is_stop") & too_late.fill_null(value=False))
    return entries.with_columns(therapy=opens.cast(pl.UInt32).cum_sum(), opens=opens).with_columns(
        stopped_at=pl.when(~pl.col("opens")).then("stopped_at")
    )


def _changes(rows: pl.LazyFrame, therapy: Therapy) -> pl.LazyFrame:
    """Carry device and flow forward inside a therapy and say where they changed or came down."""
    ranks = {name: rank for rank, names in enumerate(therapy.devices) for name in names}
    flow = pl.when(~pl.col("is_stop")).then(pl.col("flow"))
    rows = rows.with_columns(flow=flow)
    rows = rows.with_columns(
        flow=forward_fill_within("flow", "therapy"), device=forward_fill_within("device", "therapy")
    )
    rows = rows.with_columns(rank=pl.col("device").replace_strict(ranks, default=None, return_dtype=pl.Int8))
    same = ~pl.col("opens")
    was_flow, was_device, was_rank = (pl.col(name).shift(1) for name in ("flow", "device", "rank"))
    other_device = (pl.col("device") != was_device).fill_null(value=False)
    drop = (was_flow - pl.col("flow")).round(6)
    less = (drop >= therapy.reduction) | (drop >= (was_flow / SHARE_THAT_IS_A_REDUCTION).round(6))
    lower = (pl.col("rank") < was_rank).fill_null(value=False)
    changed = same & (other_device | (pl.col("flow") != was_flow).fill_null(value=False))
    reduced = same & (lower | (~other_device & (drop > 0) & less).fill_null(value=False))
    return rows.with_columns(
        changed=changed & ~pl.col("is_stop"),
        reduced=reduced | pl.col("is_stop"),
        resumes=same & ~pl.col("is_stop") & pl.col("stopped_at").is_not_null(),
    )


def therapies_of(rows: pl.LazyFrame) -> pl.LazyFrame:
    """Return the therapies: `therapy`, `report`, `start`, `end`, `last_oxygen` (its last own entry, a stop included).

    A therapy ends at its last stop, else at the milestone, else at the latest entry.
    """
    final_stop = pl.when(pl.col("is_stop").last()).then(pl.col("time").last())
    milestone = pl.when(~pl.col("late").first()).then(pl.col("milestone").first())
    latest = pl.max_horizontal(pl.col("latest_entry").first(), pl.col("time").last())
    return rows.group_by("therapy", maintain_order=True).agg(
        pl.col("report").first(),
        start=pl.col("time").first(),
        end=pl.coalesce(final_stop, milestone, latest),
        last_oxygen=pl.col("time").last(),
    )
