"""Suppression: which counts leadership may see, so that no count of 1 to 10 is shown or follows from what is.

Within a period met + not_met = judged and judged + cannot_tell = applied; between periods months add up to
quarters and quarters to years. A sum is shown only beside parts that are all shown, or of which at least two are
hidden that together exceed 10. That nothing can be derived is tested by linear programming.
"""

from __future__ import annotations

import polars as pl

from qa_audit.measure.periods import LEVELS, with_period
from qa_audit.measure.scoring import scored
from qa_audit.tables.published import COUNTS, PUBLISHED, SMALL_COUNT

_KEYS = ("level", "period", "last_month", "rule")
_PLACE = ("period", "rule")
_SUMS = {
    "not_met": ("system", "answerable_by_crew"),
    "judged": ("met", "not_met"),
    "cannot_tell": ("not_documented", "otherwise_untold"),
    "applied": ("judged", "cannot_tell"),
}
"""What a count is the sum of. `otherwise_untold` and `answerable_by_crew` stand on no page but follow from others."""
_CELLS = (*COUNTS, "otherwise_untold", "answerable_by_crew")
_SHARES = ("share", "low", "high", "headline")
_BOUNDS = ("least", "most")


def published(figures: pl.DataFrame) -> pl.DataFrame:
    """Return PUBLISHED of the whole service for every month, quarter and year; a count that may not be seen is null."""
    months = figures.filter(pl.col("recipient").is_null())
    inside: pl.DataFrame | None = None
    levels = []
    for level in LEVELS:
        inside = _decided(_counted(with_period(months, level)), _known(inside, level))
        levels.append(inside.select(*PUBLISHED.columns))
    return PUBLISHED.conform(pl.concat(levels).sort("level", "period", "rule").lazy()).collect()


def _counted(months: pl.DataFrame) -> pl.DataFrame:
    parts = ("met", "not_met", "cannot_tell", "not_documented", "not_assessable", "system")
    summed = months.group_by(_KEYS).agg(pl.col(*parts).cast(pl.Int64).sum(), month=pl.col("month").min())
    return scored(summed).with_columns(
        otherwise_untold=pl.col("cannot_tell") - pl.col("not_documented"),
        answerable_by_crew=pl.col("not_met") - pl.col("system"),
    )


def _known(inside: pl.DataFrame | None, level: str) -> pl.DataFrame:
    """Return for each period of a level what the finer ones give away.

    `<cell>_floor` is how much of the count is known at least, `<cell>_hidden` in how many finer periods it is unknown.
    """
    if inside is None:
        return pl.DataFrame(schema=dict.fromkeys(_PLACE, pl.String))
    placed = with_period(inside.drop("level", "period", "last_month"), level)
    return placed.group_by(_PLACE).agg(
        *(pl.col(f"{cell}_floor").sum() for cell in _CELLS),
        *((~pl.col(f"{cell}_known")).sum().alias(f"{cell}_hidden") for cell in _CELLS),
    )


def _decided(counted: pl.DataFrame, known: pl.DataFrame) -> pl.DataFrame:
    """Blank what may not be seen, and keep what of it is known all the same."""
    finer = [f"{cell}_{what}" for cell in _CELLS for what in ("floor", "hidden")]
    both = counted.join(known, on=_PLACE, how="left").with_columns(
        (pl.col(name) if name in known.columns else pl.lit(0, dtype=pl.Int64)).fill_null(0).cast(pl.Int64).alias(name)
        for name in finer
    )
    asked = both.with_columns(_safe(cell) for cell in _CELLS).with_columns(**_shown())
    follows = pl.lit(bool(known.width > len(_PLACE)))
    floors = asked.with_columns(
        *(pl.when(f"{cell}_shown").then(cell).otherwise(f"{cell}_floor").alias(f"{cell}_floor") for cell in _CELLS),
        *(
            (pl.col(f"{cell}_shown") | (follows & (pl.col(f"{cell}_hidden") == 0))).alias(f"{cell}_known")
            for cell in _CELLS
        ),
    )
    for total, parts in _SUMS.items():
        floors = floors.with_columns(
            pl.max_horizontal(f"{total}_floor", pl.sum_horizontal(f"{part}_floor" for part in parts)).alias(
                f"{total}_floor"
            )
        )
    return floors.with_columns(
        *(pl.when(f"{cell}_shown").then(cell).alias(cell) for cell in _CELLS),
        *(pl.when("met_shown").then(share).alias(share) for share in _SHARES),
        *(pl.when(pl.col("met_shown") & pl.col("cannot_tell_shown")).then(bound).alias(bound) for bound in _BOUNDS),
    )


def _safe(cell: str) -> pl.Expr:
    """Say whether a count is not small, and neither is what the finer periods leave unknown of it."""
    count, hidden = pl.col(cell), pl.col(f"{cell}_hidden")
    unknown = count - pl.col(f"{cell}_floor")
    small = count.is_between(1, SMALL_COUNT)
    return (~small & ((hidden == 0) | ((hidden > 1) & (unknown > SMALL_COUNT)))).alias(f"{cell}_safe")


def _shown() -> dict[str, pl.Expr]:
    """Return for each cell whether it is shown: a small part takes its complement, or else its sum, with it."""
    totals = _all_safe("judged", "cannot_tell", "applied")
    # Where finer periods tell what the rule applied to but not what was judged, a score leaves what cannot be told.
    told = pl.col("applied_floor") > pl.col("judged_floor")
    pair = _all_safe("met", "not_met", "judged") & (totals | ~told)
    gaps = totals & _all_safe("not_documented", "otherwise_untold")
    system = pair & _all_safe("system", "answerable_by_crew")
    return {
        "met_shown": pair,
        "not_met_shown": pair,
        "judged_shown": pair | totals,
        "cannot_tell_shown": totals,
        "applied_shown": totals | (_all_safe("applied") & ~pair),
        "not_documented_shown": gaps,
        "otherwise_untold_shown": gaps,
        "not_assessable_shown": _all_safe("not_assessable"),
        "system_shown": system,
        "answerable_by_crew_shown": system,
    }


def _all_safe(*cells: str) -> pl.Expr:
    return pl.all_horizontal(pl.col(f"{cell}_safe") for cell in cells)
