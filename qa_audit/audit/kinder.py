"""The kinder-edition rule: whose guidance decides when a call was in progress at a changeover."""

from __future__ import annotations

import polars as pl

from qa_audit.audit.calendar import NONE_IN_FORCE, Calendar

KINDNESS = {"met": 0, "excepted": 1, "excluded": 2, "cannot_tell": 3, "not_met": 4}
KEY = ("rule", "report", "member", "slot")
"""Two editions speak of the same opportunity when these agree; `slot` is its time, null where the report is it."""


def with_own_edition(found: pl.LazyFrame, reports: pl.LazyFrame, calendar: Calendar) -> pl.LazyFrame:
    """Add which edition each opportunity belongs to, by its own time, else first contact, else notification.

    Adds `owner` and `notified_under` (places of editions), `at` (the deciding time) and `reaches` (the last act),
    both on the scale, and `undated_changeover` (no time of its own, on a changeover day).
    """
    times = reports.select("report", "at_patient", "unit_notified", "offset_minutes")
    found = found.join(times, on="report", how="left")
    fallback = pl.coalesce("at_patient", "unit_notified")
    at = calendar.scaled(pl.coalesce("time", fallback))
    until = calendar.scaled(pl.coalesce("until", "time", fallback))
    undated = pl.col("time").is_null() & calendar.local_day(fallback).is_in(calendar.changeover_days())
    return found.with_columns(
        at=at,
        owner=calendar.in_force(at),
        nearest=calendar.nearest(at),
        notified_under=calendar.in_force(calendar.scaled(pl.col("unit_notified"))),
        reaches=until,
        undated_changeover=undated.fill_null(value=False),
    )


def kinder(found: pl.LazyFrame, calendar: Calendar) -> pl.LazyFrame:
    """Return the opportunities of each act's own edition, with the kinder outcome where another answers too.

    Takes the opportunities of every edition (column `place`: which edition judged it). Adds `decided_by` (place of the
    edition whose outcome counts, null when none was in force) and `other` (place of one that answered too).
    """
    without = pl.col("owner") == NONE_IN_FORCE
    own = found.filter(pl.when(without).then(pl.col("nearest")).otherwise(pl.col("owner")) == pl.col("place"))
    own = own.with_columns(answers=_answering_too(calendar)).with_row_index("row")
    asked = own.filter(pl.col("answers").list.len() > 0, ~without).explode("answers")
    others = found.select(*KEY, answers="place", other_outcome="outcome", other_reason="reason", other_amount="amount")
    heard = asked.join(others, on=(*KEY, "answers"), how="left", nulls_equal=True)
    # An edition that has no such rule, or finds no such opportunity, would not have asked.
    silent = pl.col("other_outcome").is_null()
    kindness = pl.when(silent).then(3).otherwise(pl.col("other_outcome").replace_strict(KINDNESS, default=None))
    best = (
        heard.with_columns(kindness=kindness, silent=silent)
        .sort("row", "kindness", "answers")
        .group_by("row", maintain_order=True)
        .agg(pl.col("answers", "kindness", "silent", "other_outcome", "other_reason", "other_amount").first())
        .rename({"answers": "other"})
    )
    joined = own.drop("answers").join(best, on="row", how="left")
    wins = (pl.col("kindness") < pl.col("outcome").replace_strict(KINDNESS)).fill_null(value=False)
    mute = wins & pl.col("silent").fill_null(value=False)
    return joined.with_columns(
        outcome=pl.when(without | mute)
        .then(pl.lit("cannot_tell"))
        .when(wins)
        .then("other_outcome")
        .otherwise("outcome"),
        reason=pl.when(without | mute).then(pl.lit("no_edition")).when(wins).then("other_reason").otherwise("reason"),
        amount=pl.when(without).then(None).when(wins & ~mute).then("other_amount").otherwise("amount"),
        decided_by=pl.when(~without).then(pl.when(wins & ~mute).then("other").otherwise("place")),
        other=pl.when(pl.col("other").is_not_null()).then(pl.when(wins & ~mute).then("place").otherwise("other")),
    )


def _answering_too(calendar: Calendar) -> pl.Expr:
    """Return the places of the editions that answer beside the own one.

    The one in force at notification when a boundary lies between; the one before while a transition runs or before
    crews were told; and each later one that the opportunity reaches into.
    """
    owner = pl.col("owner")
    nobody = pl.lit(None, pl.Int32)
    notified = pl.when(pl.col("notified_under") < owner).then(pl.col("notified_under")).otherwise(nobody)
    before = nobody
    for number in range(len(calendar.editions)):
        until = calendar.prior_answers_until(number)
        if until is not None:
            inside = (owner == number) & (pl.col("at") < until)
            before = pl.when(inside).then(pl.lit(number - 1, pl.Int32)).otherwise(before)
    later = []
    for number, edition in enumerate(calendar.editions):
        begins = calendar.on_scale(edition.begins)
        inside = (pl.col("at") < begins) & (pl.col("reaches") >= begins)
        later.append(pl.when(inside).then(pl.lit(number, pl.Int32)))
    return pl.concat_list([notified, before, *later]).list.drop_nulls().list.unique()
