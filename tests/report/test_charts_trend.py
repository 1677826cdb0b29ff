"""The trend chart: points where they belong, gaps left open, the words that go with it."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from report.months import calendar

from qa_audit.measure.trends import Point, draw
from qa_audit.report.charts.trend import BOTTOM, TOP, TrendChart, period_label, trend_chart
from qa_audit.report.charts.trend_words import trend_in_words


def rows(counts: list[int | None], first: str = "2020-01", **columns: Any) -> list[dict[str, Any]]:
    names = calendar(first, len(counts))
    columns = {"phase": 0, "changeover": False} | columns
    drawn = draw([Point(name, met=met, judged=50, **columns) for name, met in zip(names, counts, strict=True)])
    return [{"lower": None, "upper": None, "point": None, "level": "month", **row} for row in drawn]


def chart(counts: list[int | None], editions: list[tuple[str, date]] | None = None) -> TrendChart:
    return trend_chart(rows(counts), editions or [])


def test_all_is_at_the_top_and_none_at_the_bottom() -> None:
    assert [dot.y for dot in chart([50, 0]).dots] == [TOP, BOTTOM]


def test_a_hidden_point_is_a_gap_that_no_line_crosses() -> None:
    drawn = chart([40, 41, None, 42, 43])
    assert drawn.dots[2].form == "gap"
    assert [len(line.split()) for line in drawn.lines] == [2, 2]
    assert "Dash on the axis: not shown, or nothing judged." in drawn.key


def test_a_line_ends_where_the_rule_changed() -> None:
    two = rows([40, 41, 42]) + rows([43, 44], "2020-04", phase=1)
    assert [len(line.split()) for line in trend_chart(two, []).lines] == [3, 2]


def test_an_edition_is_marked_where_its_first_day_lies() -> None:
    drawn = chart(
        [40, 41, 42], [("Second", date(2020, 2, 16)), ("Later", date(2021, 1, 1)), ("Before", date(2020, 1, 1))]
    )
    assert [(mark.letter, mark.title) for mark in drawn.marks] == [("a", "Second")]
    assert abs(drawn.marks[0].x - drawn.dots[1].x) < 10


def test_a_point_beyond_chance_has_its_own_form_and_key() -> None:
    drawn = chart([40] * 24 + [15])
    assert drawn.dots[-1].form == "signal"
    assert drawn.key == ("Diamond: outside the limits by more than chance.",)


def test_at_most_twelve_periods_carry_a_label() -> None:
    assert sum(dot.tick is not None for dot in chart([40] * 37).dots) <= 12


@pytest.mark.parametrize(
    ("period", "label"),
    [
        ("2026-01", "January 2026"),
        ("2026-Q1", "January to March 2026"),
        ("2026-Q4", "October to December 2026"),
        ("2026", "2026"),
    ],
)
def test_a_period_is_named_in_words(period: str, label: str) -> None:
    assert period_label(period) == label


@pytest.mark.parametrize(
    ("counts", "words"),
    [
        ([None], ""),
        ([40], "One month can be shown: January 2020, 80 % of 50."),
        ([40, 30], "to February 2020 (60 %). Too few for a test; the line is the median, 70 %."),
        ([40, None, 30], "to March 2020 (60 %). Some scores are not shown, so nothing is tested."),
        ([40] * 24 + [15], "Outside the limits by more than chance: January 2022 (centre of the baseline 80 %)."),
        ([40, 30] * 10, "No more than chance explains (centre of the baseline 70 %). The limits are provisional."),
        ([30] * 9 + [35] + [40] * 9, "A run too long, or crossings too few, for chance alone (median 70 %)."),
    ],
)  # fmt: skip
def test_the_words_say_what_the_chart_shows(counts: list[int | None], words: str) -> None:
    said = trend_in_words(rows(counts), "month").replace("\N{NO-BREAK SPACE}", " ")
    assert said.endswith(words)
    assert bool(said) == bool(words)
