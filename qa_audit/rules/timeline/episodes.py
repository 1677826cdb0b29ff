"""Episodes: all anchor facts of a rule together, in time order, split where the gap is too long."""

from __future__ import annotations

from datetime import timedelta

import polars as pl

from qa_audit.rules.view import ChartView, is_arrest_record, is_first_of


def episodes_of(
    view: ChartView, anchors: pl.LazyFrame, roots: tuple[str, ...], gap: timedelta
) -> tuple[pl.LazyFrame, pl.LazyFrame]:
    """Return the anchor facts with their `episode`, and the episodes themselves.

    Episodes: `episode`, `report`, `time` and `until` (first and last timed fact; null when untimed), `by_system`
    (every fact stands in the arrest record, which names nobody). An untimed fact joins the earliest
    timed episode that holds its concept or a child of it; otherwise the untimed facts of one concept are one episode.
    """
    timed = _split(anchors.filter(pl.col("time").is_not_null()), gap)
    untimed = _place(view, anchors.filter(pl.col("time").is_null()), timed, roots)
    facts = pl.concat([timed, untimed.select(timed.collect_schema().names())])
    episodes = facts.group_by("episode").agg(
        pl.col("report").first(),
        time=pl.col("time").min(),
        until=pl.col("time").max(),
        by_system=is_arrest_record().all(),
    )
    return facts, episodes


def _split(timed: pl.LazyFrame, gap: timedelta) -> pl.LazyFrame:
    """Number the timed episodes; a gap of exactly `gap` still joins."""
    late = (pl.col("time") - pl.col("time").shift(1)) > gap
    return timed.sort("report", "time", "fact").with_columns(
        episode=(is_first_of("report") | late.fill_null(value=False)).cast(pl.Int64).cum_sum()
    )


def _place(view: ChartView, untimed: pl.LazyFrame, timed: pl.LazyFrame, roots: tuple[str, ...]) -> pl.LazyFrame:
    """Give each untimed fact the episode it joins, or one of its own concept."""
    family = sorted(frozenset[str]().union(*(view.concepts.family(root) for root in roots)))
    concept = _own_concept(view, family)
    families = pl.LazyFrame(
        [(name, child) for name in family for child in view.concepts.family(name)],
        schema={"concept": pl.String, "child": pl.String},
        orient="row",
    )
    held = (
        timed.select("report", "episode", child=concept)
        .explode("child")
        .join(families, on="child")
        .group_by("report", "concept")
        .agg(joined=pl.col("episode").min())
    )
    placed = (
        untimed.with_columns(concept=concept)
        .explode("concept")
        .join(held, on=("report", "concept"), how="left")
        .group_by(*untimed.collect_schema().names())
        .agg(pl.col("joined").min(), pl.col("concept").min())
        .sort("report", "concept", "fact")
    )
    # Episodes of their own are numbered below zero, timed ones above.
    alone = pl.col("joined").is_null()
    own = -(is_first_of("report", "concept") & alone).cast(pl.Int64).cum_sum()
    return placed.with_columns(episode=pl.coalesce("joined", own))


def _own_concept(view: ChartView, family: list[str]) -> pl.Expr:
    """Return the list of concepts of the family that name the fact's item themselves."""
    names: dict[str, list[str]] = {}
    for name in family:
        for item in view.concepts.own_patterns(name):
            names.setdefault(item, []).append(name)
    return (
        pl.col("item")
        .cast(pl.String)
        .replace_strict(list(names), list(names.values()), default=[], return_dtype=pl.List(pl.String))
    )
