"""Composites, against a published figure and a hand-worked case."""

from __future__ import annotations

from typing import Any

import polars as pl
from report.months import determination, stored

from qa_audit.measure.composites import composites
from qa_audit.measure.rollup import roll_up


def composite(rows: list[dict[str, Any]], form: str) -> dict[str, Any]:
    found = composites(roll_up(stored(rows)).collect())
    return found.filter(pl.col("form").cast(pl.String) == form).row(0, named=True)


def test_the_opportunity_composite_is_the_published_one() -> None:
    """AHRQ performance-measure guide, Table 6: 828 opportunities, 576 met, 69.6 %."""
    rows = [
        determination("2026-01", place, f"rule-{place % 26}", "met" if place < 576 else "not_met")
        for place in range(828)
    ]
    found = composite(rows, "opportunity")
    assert (found["met"], found["judged"]) == (576, 828)
    assert round(100 * found["share"], 1) == 69.6


def test_all_or_none_asks_for_every_rule_that_judged_the_report() -> None:
    outcomes = {
        1: [("a", "met", None), ("b", "met", None)],
        2: [("a", "met", None), ("b", "not_met", None)],
        3: [("a", "met", None), ("b", "cannot_tell", "not_documented")],
        4: [("a", "met", None), ("b", "excluded", "exempt")],
        5: [("a", "met", None), ("b", "cannot_tell", "not_assessable")],
        6: [("a", "excluded", "exempt")],
    }
    rows = [determination("2026-01", report, *each) for report, found in outcomes.items() for each in found]
    found = composite(rows, "all_or_none")
    assert (found["met"], found["not_met"], found["cannot_tell"]) == (3, 1, 1)


def test_the_two_forms_are_different_numbers() -> None:
    rows = [determination("2026-01", 1, rule, "met") for rule in "abcd"] + [determination("2026-01", 2, "a", "not_met")]
    assert composite(rows, "opportunity")["share"] == 0.8
    assert composite(rows, "all_or_none")["share"] == 0.5
