"""The reviewer's page: unsuppressed, by name and never by rank, every finding with its evidence."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from report.browser import axe_violations, chromium, overflows_at
from report.months import OXYGEN, RESPIRATOR, determination, invented, month_of, ruleset, settings, stored
from report.pages import links, rows, text

from qa_audit import measure
from qa_audit.report import reviewer

__all__ = ["chromium"]

MONTH = "2026-01"


def page(folder: Path, made: list[dict[str, object]]) -> Path:
    return reviewer.write(month_of(made, MONTH), measure.count(stored(made)), ruleset(), settings(), folder)


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return page(tmp_path_factory.mktemp("reviewer"), invented([MONTH]))


def test_it_says_that_it_is_internal(written: Path) -> None:
    assert "Internal: for the people who review care here." in text(written)


def test_reports_read_are_admitted_and_held_back(written: Path) -> None:
    assert re.search(r"Reports read 41 admitted 40 held back 1 ", text(written))


def test_every_report_with_a_finding_of_a_must_rule_is_linked_once(written: Path) -> None:
    findings = {row["report_id"] for row in invented([MONTH]) if row["outcome"] == "not_met"}
    linked = [link for link in links(written) if link.startswith("evidence/")]
    assert sorted(linked) == sorted(f"evidence/{report}.html" for report in findings)


def test_small_counts_stand_unsuppressed_with_their_reasons(tmp_path: Path) -> None:
    made = [determination(MONTH, 1, OXYGEN, "met"), determination(MONTH, 2, OXYGEN, "cannot_tell", "too_few_readings")]
    assert ["Cannot be told", "Too few readings are charted to say.", "1"] in rows(page(tmp_path, made))


def test_recipients_stand_in_order_of_name_whatever_their_rate(tmp_path: Path) -> None:
    made = [
        determination(MONTH, report, OXYGEN, "met" if vehicle in "CA" else "not_met", recipient=f"U-{vehicle * 10}")
        for report, vehicle in enumerate("CBABCA")
    ]
    names = [row[0] for row in rows(page(tmp_path, made)) if row and row[0].startswith("Unit ")]
    assert names == ["Unit 1", "Unit 2", "Unit 3"]


def test_a_chart_with_two_findings_is_one_visit(tmp_path: Path) -> None:
    made = [determination(MONTH, 1, rule, "not_met") for rule in (OXYGEN, RESPIRATOR)]
    visits = [row for row in rows(page(tmp_path, made)) if row and "January 2026," in row[0]]
    assert len(visits) == 1
    assert "Oxygen is kept" in visits[0][2]
    assert "wears a respirator" in visits[0][2]


def test_a_measured_amount_stands_beside_its_finding(tmp_path: Path) -> None:
    made = [determination(MONTH, 1, OXYGEN, "not_met", amount=19.5, amount_unit="minutes")]
    assert "Oxygen is kept within the target saturation. (19.5 minutes)" in text(page(tmp_path, made))


def test_where_too_much_cannot_be_told_no_percentage_is_the_headline(tmp_path: Path) -> None:
    made = [determination(MONTH, 1, OXYGEN, "met"), determination(MONTH, 2, OXYGEN, "cannot_tell", "not_documented")]
    assert "1 of 1 No percentage: more than 30 % cannot be told." in text(page(tmp_path, made))


def test_a_month_without_findings_says_so(tmp_path: Path) -> None:
    assert "No report of this month has a finding" in text(page(tmp_path, [determination(MONTH, 1, OXYGEN, "met")]))


@pytest.mark.parametrize("width", [360, 1280])
def test_it_needs_no_sideways_scrolling(chromium: object, written: Path, width: int) -> None:
    assert not overflows_at(chromium, written, width)


def test_axe_finds_nothing_against_it(chromium: object, written: Path) -> None:
    assert axe_violations(chromium, written) == []
