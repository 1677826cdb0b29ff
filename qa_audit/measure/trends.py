"""Trends: what a page may say about a rule's published scores over time, and whether they moved more than chance."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from statistics import median
from typing import Any

import polars as pl

from qa_audit.measure import p_chart
from qa_audit.measure.run_rules import runs
from qa_audit.tables.trends import TRENDS


@dataclass(frozen=True)
class Point:
    """One period of one rule; `met` is null where it may not be shown."""

    period: str
    phase: int
    changeover: bool
    met: int | None
    judged: int | None
    gaps: float | None = None

    @property
    def useful(self) -> bool:
        """Say whether the point may be tested: shown, with something judged, under one version of the rule."""
        return self.met is not None and bool(self.judged) and not self.changeover

    @property
    def share(self) -> float | None:
        """Return met of judged, null where not shown or nothing was judged."""
        return self.met / self.judged if self.met is not None and self.judged else None


def trends(published: pl.DataFrame, periods_shown: pl.DataFrame, phases: pl.DataFrame) -> pl.DataFrame:
    """Return TRENDS for every page and rule, over the ended periods of the level that PERIODS_SHOWN names."""
    points = published.join(phases, on=("level", "period", "rule"), how="inner")
    series = (
        periods_shown.join(points, on=("rule", "level"))
        .filter(pl.col("last_month") <= pl.col("as_of"))
        .sort("as_of", "rule", "period")
    )
    rows: list[dict[str, Any]] = []
    for (as_of, rule, level), of_rule in series.group_by("as_of", "rule", "level", maintain_order=True):
        gaps = pl.when(pl.col("applied") > 0).then(pl.col("not_documented") / pl.col("applied"))
        columns = of_rule.select("period", "phase", "changeover", "met", "judged", gaps=gaps)
        drawn = draw([Point(*row) for row in columns.iter_rows()])
        rows += [{"as_of": as_of, "rule": rule, "level": level, **row} for row in drawn]
    return TRENDS.frame(rows)


def draw(points: Sequence[Point]) -> Iterator[dict[str, Any]]:
    """Yield a row of TRENDS for each point, phase by phase.

    A phase that hides a score is not tested: its months with few findings are the hidden ones, so what is left would
    mislead. Under 10 useful points only values and their median, from 10 a run chart, from 20 a p-chart.
    """
    for _, phase in groupby(points, key=lambda point: point.phase):
        yield from _phase(list(phase))


def _phase(points: list[Point]) -> Iterator[dict[str, Any]]:
    useful = [point for point in points if point.useful]
    whole = all(point.share is not None or point.judged == 0 for point in points)
    chart, centre = _chart_and_centre(useful) if whole else ("values", None)
    tested = chart != "values" and centre is not None
    moved = tested and runs([_share(point) for point in useful], centre or 0.0).signal
    for point in points:
        row: dict[str, Any] = {
            "period": point.period,
            "phase": point.phase,
            "changeover": point.changeover,
            "share": point.share,
            "judged": point.judged if point.share is not None else None,
            "gaps": point.gaps,
            "chart": chart,
            "centre": centre,
            "provisional": len(useful) < p_chart.BASELINE,
            "run": moved,
        }
        yield row | (_against_limits(point, centre) if chart == "p_chart" and centre is not None else {})


def _chart_and_centre(useful: list[Point]) -> tuple[str, float | None]:
    if len(useful) >= p_chart.ENOUGH_FOR_LIMITS:
        baseline = useful[: p_chart.BASELINE]
        return "p_chart", p_chart.centre_of(
            [point.met or 0 for point in baseline], [point.judged or 0 for point in baseline]
        )
    chart = "run_chart" if len(useful) >= p_chart.ENOUGH_FOR_A_RUN_CHART else "values"
    return chart, median(map(_share, useful)) if useful else None


def _share(point: Point) -> float:
    return (point.met or 0) / (point.judged or 1)


def _against_limits(point: Point, centre: float) -> dict[str, Any]:
    if not point.judged:
        return {}
    band = p_chart.limits(centre, point.judged)
    found = p_chart.outside(point.met or 0, point.judged, centre) if point.useful else None
    return {"lower": band.lower, "upper": band.upper, "point": found}
