"""The indexes: what the records can answer, and where each month's pages and letters stand."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from report.browser import axe_violations, chromium, overflows_at
from report.months import FILTER, OXYGEN, RESPIRATOR, determination, invented, month_of, ruleset, settings, stored
from report.pages import links, rows, text

from qa_audit import measure
from qa_audit.report import index
from qa_audit.settings import CustomElement

__all__ = ["chromium"]

MONTH = "2026-01"
TITLES = {rule.id: rule.title for rule in ruleset().editions[0].rules.values()}


def all_months(folder: Path, made: list[dict[str, Any]], **changes: Any) -> Path:
    return index.write_all([MONTH], measure.count(stored(made)), ruleset(), settings(**changes), folder)


def answer(path: Path, rule: str) -> list[str]:
    return next(row for row in rows(path) if row and row[0] == TITLES[rule])[1:]


def outcomes(rule: str, *counts: tuple[int, str, str | None]) -> list[dict[str, Any]]:
    drawn = [(outcome, reason) for many, outcome, reason in counts for _ in range(many)]
    return [determination(MONTH, report, rule, *each) for report, each in enumerate(drawn)]


def test_a_rule_without_a_field_names_the_one_that_is_needed(tmp_path: Path) -> None:
    path = all_months(tmp_path, outcomes(FILTER, (9, "cannot_tell", "not_assessable")))
    verdict, asked, judged, silent, field = answer(path, FILTER)
    assert (verdict, asked, judged, silent) == ("No: the records have no field for it", "9", "0", "0")
    assert field == "A viral filter is in line; the standard has no field for it. Needed. concept: viral_filter"


def test_a_mapped_field_is_asked_for_no_more(tmp_path: Path) -> None:
    mapped = {"svc.filter": CustomElement(concept="viral_filter", values={"1": "present"})}
    path = all_months(tmp_path, outcomes(FILTER, (9, "met", None)), custom_elements=mapped)
    assert answer(path, FILTER) == ["Yes", "9", "9", "0", "None; fuller charting would."]


@pytest.mark.parametrize(
    ("counts", "verdict"),
    [
        ([(5, "met", None), (5, "cannot_tell", "not_documented")], "Yes"),
        ([(4, "met", None), (5, "cannot_tell", "not_documented")], "In part: most reports do not say enough"),
        ([(5, "cannot_tell", "list_incomplete")], "Not yet: no report says enough"),
    ],
)
def test_the_verdict_follows_from_how_many_reports_could_be_judged(
    tmp_path: Path, counts: list[Any], verdict: str
) -> None:
    assert answer(all_months(tmp_path, outcomes(RESPIRATOR, *counts)), RESPIRATOR)[0] == verdict


def test_a_rule_that_nothing_called_for_is_not_asked_yet(tmp_path: Path) -> None:
    assert answer(all_months(tmp_path, outcomes(OXYGEN, (1, "met", None))), RESPIRATOR)[0] == "Not asked yet"


def test_months_stand_newest_first_and_every_month_of_the_figures_is_there(tmp_path: Path) -> None:
    path = all_months(tmp_path, invented(["2025-12", MONTH]))
    assert [link for link in links(path) if link.endswith("/index.html")] == [
        "2026-01/index.html",
        "2025-12/index.html",
    ]


def test_a_month_links_its_pages_and_its_letters_by_name(tmp_path: Path) -> None:
    drafts = [tmp_path / "letters" / f"U-{letter * 10}.html" for letter in "BA"]
    path = index.write_month(month_of(invented([MONTH]), MONTH), drafts, settings(), tmp_path)
    pages = ["reviewer.html", "data-quality.html", "dashboard.html", "rulebook.html"]
    assert links(path) == [
        "#content",
        "../index.html",
        *pages,
        "letters/U-AAAAAAAAAA.html",
        "letters/U-BBBBBBBBBB.html",
    ]
    assert "Reports read 41 admitted 40 held back 1 " in text(path)


def test_a_month_without_letters_says_why(tmp_path: Path) -> None:
    path = index.write_month(month_of(invented([MONTH]), MONTH), [], settings(), tmp_path)
    assert "No letter was written: the settings hold no peer-review statement" in text(path)


def test_the_indexes_are_narrow_enough_and_axe_finds_nothing(chromium: object, tmp_path: Path) -> None:
    month = index.write_month(month_of(invented([MONTH]), MONTH), [tmp_path / "U-A.html"], settings(), tmp_path / MONTH)
    for path in (all_months(tmp_path, invented([MONTH])), month):
        assert not overflows_at(chromium, path, 360)
        assert axe_violations(chromium, path) == []
