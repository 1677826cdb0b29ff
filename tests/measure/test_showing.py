"""Showing: months where most can be shown, else quarters, else years."""

from __future__ import annotations

import pytest
from measure.test_suppression import Month, figures, month
from report.months import calendar

from qa_audit.measure.showing import periods_shown
from qa_audit.measure.suppression import published

LARGE, SMALL, NOTHING = month(met=40, crew=20), month(met=40, crew=5), month(not_assessable=30)


def level(months: list[Month]) -> str:
    names = calendar("2026-01", len(months))
    found = periods_shown(published(figures(months)), names)
    return str(found.filter(found["as_of"] == names[-1])["level"][0])


@pytest.mark.parametrize(
    ("months", "expected"),
    [
        ([LARGE, LARGE, SMALL], "month"),
        ([LARGE, SMALL], "month"),
        ([LARGE, SMALL, SMALL, SMALL], "quarter"),
        ([SMALL], "quarter"),
        ([SMALL] * 12, "quarter"),
        ([month(met=40, crew=1)] * 12, "year"),
        ([NOTHING, NOTHING], "month"),
    ],
)
def test_the_finest_length_at_which_at_least_half_can_be_shown(months: list[Month], expected: str) -> None:
    assert level(months) == expected


def test_a_page_looks_at_no_later_month() -> None:
    found = periods_shown(published(figures([SMALL, LARGE, LARGE])), calendar("2026-01", 3))
    assert found["level"].cast(str).to_list() == ["quarter", "month", "month"]
