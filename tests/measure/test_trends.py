"""Trends: what a series of published scores may say, and when it may not be tested."""

from __future__ import annotations

from typing import Any

import polars as pl
from measure.test_p_chart import ADJUSTED, CANS
from report.months import OXYGEN, calendar, invented, stored

from qa_audit import measure
from qa_audit.measure.trends import Point, draw


def series(counts: list[int | None], judged: int = 50, **columns: Any) -> list[dict[str, Any]]:
    names = calendar("2020-01", len(counts))
    base = {"phase": 0, "changeover": False} | columns
    return list(draw([Point(name, met=met, judged=judged, **base) for name, met in zip(names, counts, strict=True)]))


def test_under_ten_points_there_are_values_and_a_median_and_no_test() -> None:
    rows = series(CANS[:9])
    assert {row["chart"] for row in rows} == {"values"}
    assert not any(row["run"] or row.get("point") for row in rows)
    assert rows[0]["centre"] == sorted(CANS[:9])[4] / 50


def test_from_ten_points_it_is_a_run_chart_and_from_twenty_a_p_chart() -> None:
    assert [series(CANS[:count])[0]["chart"] for count in (9, 10, 19, 20)] == [
        "values",
        "run_chart",
        "run_chart",
        "p_chart",
    ]


def test_limits_are_provisional_until_the_baseline_is_whole() -> None:
    assert [series(CANS[:count])[0]["provisional"] for count in (20, 23, 24, 30)] == [True, True, False, False]


def test_the_baseline_is_frozen_so_later_points_are_judged_and_not_absorbed() -> None:
    """Montgomery's example 7.1: the adjusted machine is seen against the centre before the adjustment."""
    rows = series(CANS[:24] + ADJUSTED)
    assert rows[0]["centre"] == sum(CANS[:24]) / (24 * 50)
    assert rows[-1]["run"]
    assert rows[-1]["centre"] == rows[0]["centre"]


def test_a_month_with_nothing_judged_is_a_gap_and_no_nought() -> None:
    rows = list(
        draw([Point("2026-01", 0, False, 30, 50), Point("2026-02", 0, False, 0, 0), Point("2026-03", 0, False, 40, 50)])
    )
    assert [row["share"] for row in rows] == [0.6, None, 0.8]
    assert rows[0]["centre"] == 0.7


def test_a_hidden_score_stops_every_test_of_its_phase() -> None:
    rows = series([*CANS, None])
    assert {row["chart"] for row in rows} == {"values"}
    assert {row["centre"] for row in rows} == {None}


def test_a_changeover_is_drawn_and_not_tested() -> None:
    changed = Point("2023-01", 0, True, 0, 50)
    rows = list(
        draw(
            [
                *(Point(name, 0, False, met, 50) for name, met in zip(calendar("2020-01", 24), CANS, strict=False)),
                changed,
            ]
        )
    )
    assert (rows[-1]["share"], rows[-1]["point"]) == (0.0, None)


def test_no_run_reaches_across_a_changed_rule() -> None:
    names = calendar("2020-01", 54)
    points = [
        Point(name, int(place >= 30), False, met, 50)
        for place, (name, met) in enumerate(zip(names, CANS + ADJUSTED, strict=True))
    ]
    rows = list(draw(points))
    assert (rows[0]["centre"], rows[-1]["centre"]) == (sum(CANS[:24]) / 1200, sum(ADJUSTED) / 1200)


def test_a_page_sees_nothing_of_later_months() -> None:
    months = calendar("2023-07", 6)
    whole = measure.count(stored(invented(months, 200))).trends
    early = measure.count(stored([row for row in invented(months, 200) if row["month"] <= months[3]])).trends
    seen = whole.filter(pl.col("as_of") == months[3])
    assert seen.equals(early.filter(pl.col("as_of") == months[3]))
    assert seen.filter(pl.col("rule") == OXYGEN)["period"].max() == months[3]
