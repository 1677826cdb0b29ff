"""Scoring: the share met, its Wilson interval, and the bounds between which silence leaves it."""

from __future__ import annotations

from statistics import NormalDist

import polars as pl

from qa_audit.tables.scores import SCORES

Z95 = NormalDist().inv_cdf(0.975)
MOST_UNTOLD = 0.3
"""No headline when more than this share of what the rule applied to cannot be told (common practice, no source)."""

_MET, _JUDGED, _UNTOLD = (
    pl.col("met").cast(pl.Int64),
    pl.col("judged").cast(pl.Int64),
    pl.col("cannot_tell").cast(pl.Int64),
)
_APPLIED = pl.col("applied").cast(pl.Int64)


def scored(counted: pl.DataFrame) -> pl.DataFrame:
    """Return the rows with `judged`, `applied`, `share`, `low`, `high`, `least`, `most`, `headline` added.

    Takes `met`, `not_met`, `cannot_tell`, the last without what no field or edition could answer. The share is met of
    judged (HL7 Quality Measure IG, proportion, after exclusions and exceptions), null where nothing is judged.
    """
    summed = counted.with_columns(judged=pl.col("met").cast(pl.Int64) + pl.col("not_met")).with_columns(
        applied=pl.col("judged") + pl.col("cannot_tell")
    )
    low, high = wilson(_MET, _JUDGED)
    any_applied = pl.when(_APPLIED > 0)
    return summed.with_columns(
        share=pl.when(_JUDGED > 0).then(_MET / _JUDGED),
        low=low,
        high=high,
        least=any_applied.then(_MET / _APPLIED),
        most=any_applied.then((_MET + _UNTOLD) / _APPLIED),
        headline=(_JUDGED > 0) & (_UNTOLD <= MOST_UNTOLD * _APPLIED),
    )


def scores(figures: pl.DataFrame) -> pl.DataFrame:
    """Return SCORES of FIGURES, row by row."""
    return SCORES.conform(scored(figures).lazy()).collect()


def wilson(met: pl.Expr, judged: pl.Expr) -> tuple[pl.Expr, pl.Expr]:
    """Return the ends of Wilson's 95 % interval of met/judged; null where judged is 0.

    Source: Newcombe, Stat Med 1998;17:857-872, method 3.
    """
    n = judged.cast(pl.Float64)
    share, square = met / n, Z95 * Z95
    centre = (share + square / (2 * n)) / (1 + square / n)
    half = Z95 * (share * (1 - share) / n + square / (4 * n * n)).sqrt() / (1 + square / n)
    known = pl.when(judged > 0)
    # At none and at all one end is the limit itself; the arithmetic misses it by a rounding.
    low = known.then(pl.when(met == 0).then(0.0).otherwise((centre - half).clip(0.0, 1.0)))
    high = known.then(pl.when(met == judged).then(1.0).otherwise((centre + half).clip(0.0, 1.0)))
    return low, high
