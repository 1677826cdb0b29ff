"""Suppression: no count of 1 to 10 is published, and none follows from what is, asked of a linear programme."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as some
from report.months import calendar
from scipy.optimize import linprog

from qa_audit.measure.suppression import published
from qa_audit.tables import FIGURES
from qa_audit.tables.published import COUNTS, SMALL_COUNT

PARTS = ("met", "crew", "system", "not_documented", "otherwise", "not_assessable")
"""What every count is a sum of; `crew` and `system` are the two kinds of finding."""
SUMS = {
    "met": ("met",), "not_met": ("crew", "system"), "judged": ("met", "crew", "system"),
    "cannot_tell": ("not_documented", "otherwise"), "applied": ("met", "crew", "system", "not_documented", "otherwise"),
    "not_documented": ("not_documented",), "not_assessable": ("not_assessable",), "system": ("system",),
}  # fmt: skip
Month = dict[str, int]


def figures(months: list[Month], first: str = "2026-01") -> pl.DataFrame:
    rows = [
        {
            "month": name, "rule": "a-rule", "met": month["met"], "not_met": month["crew"] + month["system"],
            "cannot_tell": month["not_documented"] + month["otherwise"], "not_documented": month["not_documented"],
            "not_assessable": month["not_assessable"], "no_edition": 0, "excepted": 0, "excluded": 0,
            "system": month["system"],
        }
        for name, month in zip(calendar(first, len(months)), months, strict=True)
    ]  # fmt: skip
    return FIGURES.frame(rows)


def month(met: int = 0, crew: int = 0, not_documented: int = 0, **more: int) -> Month:
    return {**dict.fromkeys(PARTS, 0), "met": met, "crew": crew, "not_documented": not_documented, **more}


def row(months: list[Month], period: str) -> dict[str, Any]:
    return published(figures(months)).row(by_predicate=pl.col("period") == period, named=True)


def test_a_small_count_takes_its_complement_and_every_share_with_it() -> None:
    found = row([month(met=40, crew=4)], "2026-01")
    assert [found[name] for name in ("met", "not_met", "share", "low", "high", "least", "most", "headline")] == [
        None
    ] * 8
    assert (found["judged"], found["applied"]) == (44, 44)


def test_ten_is_small_eleven_is_not_and_nought_may_be_shown() -> None:
    assert row([month(met=40, crew=10)], "2026-01")["not_met"] is None
    assert row([month(met=40, crew=11)], "2026-01")["not_met"] == 11
    assert row([month(met=40, crew=0)], "2026-01")["not_met"] == 0


def test_a_small_number_of_silent_reports_hides_the_total_and_not_the_score() -> None:
    found = row([month(met=40, crew=20, not_documented=3)], "2026-01")
    assert found["headline"]
    assert (found["met"], found["judged"], found["cannot_tell"], found["applied"], found["most"]) == (
        40,
        60,
        None,
        None,
        None,
    )


def test_a_quarter_does_not_give_its_one_hidden_month_away() -> None:
    months = [month(met=40, crew=12), month(met=40, crew=12), month(met=40, crew=5)]
    assert row(months, "2026-Q1")["not_met"] is None


def test_a_quarter_may_show_what_its_hidden_months_hold_together() -> None:
    months = [month(met=40, crew=7), month(met=40, crew=6), month(met=40, crew=5)]
    assert row(months, "2026-Q1")["not_met"] == 18


def test_findings_for_the_service_to_answer_are_shown_only_when_neither_kind_is_small() -> None:
    assert row([month(met=40, crew=3, system=20)], "2026-01")["system"] is None
    assert row([month(met=40, crew=13, system=20)], "2026-01")["system"] == 20


def known(months: list[Month]) -> Iterator[tuple[np.ndarray, int]]:
    """Yield every published count as a sum of unknown parts."""
    names = calendar("2026-01", len(months))
    for each in published(figures(months)).iter_rows(named=True):
        inside = [place for place, name in enumerate(names) if within(name, each["period"])]
        for count in COUNTS:
            if each[count] is not None:
                sum_of = np.zeros((len(months), len(PARTS)))
                sum_of[np.ix_(inside, [PARTS.index(part) for part in SUMS[count]])] = 1
                yield sum_of.ravel(), each[count]


def within(name: str, period: str) -> bool:
    quarter = f"{name[:4]}-Q{(int(name[5:]) - 1) // 3 + 1}"
    return period in (name, quarter, name[:4])


sizes = some.one_of(some.just(0), some.integers(0, 14), some.integers(11, 60))
some_months = some.lists(some.fixed_dictionaries(dict.fromkeys(PARTS, sizes)), min_size=1, max_size=4)


@settings(max_examples=40, deadline=None)
@given(some_months)
def test_no_small_count_can_be_derived_from_all_that_is_published(months: list[Month]) -> None:
    """Each small sum of parts that a page speaks of must stay possible from 11 on, or not be pinned (stats.md 10.3)."""
    equations, values = zip(*known(months), strict=True) if any(known(months)) else ((), ())
    for place, each in enumerate(months):
        for count, parts in SUMS.items():
            if not 1 <= sum(each[part] for part in parts) <= SMALL_COUNT:
                continue
            asked = np.zeros((len(months), len(PARTS)))
            asked[place, [PARTS.index(part) for part in parts]] = 1
            reach = [
                linprog(
                    sign * asked.ravel(),
                    A_eq=np.array(equations) if equations else None,
                    b_eq=values or None,
                    bounds=(0, None),
                )
                for sign in (1, -1)
            ]
            assert {found.status for found in reach} <= {0, 3}, "the published counts contradict each other"
            least = reach[0].fun
            most = -reach[1].fun if reach[1].status == 0 else float("inf")
            assert most > SMALL_COUNT, f"{count} of month {place} is known to lie in {least:g} to {most:g}"


@settings(max_examples=40, deadline=None)
@given(some_months)
def test_no_published_count_is_small(months: list[Month]) -> None:
    shown = published(figures(months)).select(COUNTS.keys()).to_numpy().ravel()
    assert not [count for count in shown if count is not None and 1 <= count <= SMALL_COUNT]


@pytest.mark.parametrize("level", ["month", "quarter", "year"])
def test_every_level_has_a_row_for_each_period(level: str) -> None:
    found = published(figures([month(met=20)] * 14)).filter(pl.col("level").cast(pl.String) == level)
    assert found.height == {"month": 14, "quarter": 5, "year": 2}[level]
