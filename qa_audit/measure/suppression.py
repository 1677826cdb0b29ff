"""Suppression: which counts leadership may see, so that no count of 1 to 10 is shown or follows from what is.

Counts are shown in groups. Within a period a group is shown whole or not at all, and a group that splits a count only
beside that count. Between periods, what a longer one holds beyond the shorter ones already known must in each of
its counts be nought or more than 10. So every hidden count may, for all that is shown, as well be 11 or
more: its sum and what remains of the longer period both reach that far. A linear programme tests it.
"""

from __future__ import annotations

import polars as pl

from qa_audit.measure.periods import LEVELS, with_period
from qa_audit.measure.scoring import MOST_UNTOLD, scored
from qa_audit.tables.published import PUBLISHED, SMALL_COUNT

_KEYS = ("level", "period", "last_month", "rule")
_GROUPS = {
    ("judged",): None,
    ("met", "not_met"): "judged",
    ("system", "answerable_by_crew"): "not_met",
    ("cannot_tell",): None,
    ("not_documented", "otherwise_untold"): "cannot_tell",
    ("not_assessable",): None,
}
"""Counts shown together, and the count that they split; `answerable_by_crew` and `otherwise_untold` follow from it."""
_CELLS = tuple(cell for group in _GROUPS for cell in group)
_SHARES = ("share", "low", "high")
_OF_APPLIED = ("applied", "least", "most")


def published(figures: pl.DataFrame) -> pl.DataFrame:
    """Return PUBLISHED of the whole service for every month, quarter and year; a count that may not be seen is null."""
    months = figures.filter(pl.col("recipient").is_null())
    shorter: pl.DataFrame | None = None
    levels = []
    for level in LEVELS:
        counted = _counted(with_period(months, level))
        shorter = _opened(counted.join(_known(shorter, level), on=("period", "rule"), how="left"))
        levels.append(_blanked(shorter).select(*PUBLISHED.columns))
    return PUBLISHED.conform(pl.concat(levels).sort("level", "period", "rule").lazy()).collect()


def _counted(months: pl.DataFrame) -> pl.DataFrame:
    parts = ("met", "not_met", "cannot_tell", "not_documented", "not_assessable", "system")
    summed = months.group_by(_KEYS).agg(pl.col(*parts).cast(pl.Int64).sum(), month=pl.col("month").min())
    return scored(summed).with_columns(
        otherwise_untold=pl.col("cannot_tell") - pl.col("not_documented"),
        answerable_by_crew=pl.col("not_met") - pl.col("system"),
    )


def _known(shorter: pl.DataFrame | None, level: str) -> pl.DataFrame:
    """Return for each period of a level how much of each count the shorter ones tell, as `<cell>_known`."""
    known = [f"{cell}_known" for cell in _CELLS]
    if shorter is None:
        return pl.DataFrame(schema={"period": pl.String, "rule": pl.String, **dict.fromkeys(known, pl.Int64)})
    placed = with_period(shorter.select("month", "rule", *known), level)
    return placed.group_by("period", "rule").agg(pl.col(known).sum())


def _opened(counted: pl.DataFrame) -> pl.DataFrame:
    """Add `<cell>_shown`, and make `<cell>_known` what is known from this period on."""
    asked = counted.with_columns(pl.col(f"{cell}_known").fill_null(0) for cell in _CELLS)
    for group, split in _GROUPS.items():
        shown = pl.all_horizontal(_hides_enough(cell) for cell in group)
        if split is not None:
            shown = shown & pl.col(f"{split}_shown")
        asked = asked.with_columns(shown.alias(f"{cell}_shown") for cell in group)
    return asked.with_columns(
        pl.when(f"{cell}_shown").then(cell).otherwise(f"{cell}_known").alias(f"{cell}_known") for cell in _CELLS
    )


def _hides_enough(cell: str) -> pl.Expr:
    unknown = pl.col(cell) - pl.col(f"{cell}_known")
    return (unknown == 0) | (unknown > SMALL_COUNT)


def _blanked(opened: pl.DataFrame) -> pl.DataFrame:
    judged, scored_, untold = (pl.col(f"{cell}_shown") for cell in ("judged", "met", "cannot_tell"))
    # A small number of silent reports that is not shown leaves the headline, where even 10 of them would.
    few = (pl.col("cannot_tell") <= SMALL_COUNT) & (MOST_UNTOLD * (pl.col("judged") + SMALL_COUNT) >= SMALL_COUNT)
    return opened.with_columns(
        *(pl.when(f"{cell}_shown").then(cell).alias(cell) for cell in _CELLS),
        *(pl.when(scored_).then(name).alias(name) for name in _SHARES),
        *(pl.when((judged if name == "applied" else scored_) & untold).then(name).alias(name) for name in _OF_APPLIED),
        headline=pl.when(scored_).then(pl.when(untold).then("headline").otherwise(few)),
    )
