"""Answered runs: readings above the ceiling that the crew answered by turning the oxygen down in time."""

from __future__ import annotations

from datetime import timedelta

import polars as pl

from qa_audit.rules.view import is_first_of

NEEDS_AN_ANSWER_AT = 2
"""A run calls for an answer at its third reading (index 2), or at its first clearly high one."""


def mark_answered(readings: pl.DataFrame, reductions: pl.DataFrame, answer: timedelta) -> pl.DataFrame:
    """Add `answered` to counted readings (`therapy`, `time`, `above`, `clearly`), sorted by therapy and time.

    A run is a row of neighbouring readings above the ceiling. Its call is its first clearly high reading or its third,
    whichever is earlier; a reduction (`therapy`, `reduced_at`) at the call, or up to `answer` after it, answers the
    readings before it, and what follows is a new run. So runs are split round by round until none has an answer.
    """
    runs = readings.with_row_index("reading").with_columns(
        run=is_first_of("therapy", "above").cast(pl.UInt32).cum_sum()
    )
    # Only a therapy in which something came down can hold an answer.
    open_runs = runs.filter("above").join(reductions, on="therapy", how="semi", maintain_order="left")
    open_runs = open_runs.select("reading", "run", "therapy", "time", "clearly")
    found: list[pl.Series] = []
    while open_runs.height:
        answers = _answers(open_runs, reductions, answer)
        split = open_runs.join(answers, on="run", how="inner", maintain_order="left")
        found.append(split.filter(pl.col("time") < pl.col("reduced_at"))["reading"])
        open_runs = split.filter(pl.col("time") >= pl.col("reduced_at")).drop("reduced_at")
    answered = pl.concat(found) if found else pl.Series("reading", [], dtype=pl.UInt32)
    return runs.with_columns(answered=pl.col("reading").is_in(answered.implode())).drop("reading", "run")


def _answers(runs: pl.DataFrame, reductions: pl.DataFrame, answer: timedelta) -> pl.DataFrame:
    """Return `run`, `reduced_at` for each run that the first reduction in its time answers."""
    clearly = pl.col("time").filter(pl.col("clearly")).first()
    third = pl.col("time").get(NEEDS_AN_ANSWER_AT, null_on_oob=True)
    calls = runs.group_by("run", maintain_order=True).agg(
        pl.col("therapy").first(), call=pl.min_horizontal(clearly, third)
    )
    timely = pl.col("reduced_at").is_between(pl.col("call"), pl.col("call") + answer)
    return (
        calls.join(reductions, on="therapy")
        .filter(timely.fill_null(value=False))
        .group_by("run")
        .agg(pl.col("reduced_at").min())
    )
