"""The roll-up, as kinds.md section 0 writes it, and against a plain restatement of it."""

from __future__ import annotations

from typing import Any

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as some
from report.months import determination, stored

from qa_audit.measure.rollup import roll_up
from qa_audit.tables.determinations import CANNOT_TELL_REASONS, OUTCOME_WORDS

Outcome = tuple[str, str | None]


def rolled(*outcomes: Outcome, **columns: Any) -> dict[str, Any]:
    rows = [determination("2026-01", 1, "a-rule", outcome, reason, **columns) for outcome, reason in outcomes]
    return roll_up(stored(rows)).collect().row(0, named=True)


@pytest.mark.parametrize(
    ("outcomes", "expected"),
    [
        ([("met", None), ("not_met", None)], ("not_met", None)),
        ([("met", None), ("cannot_tell", "time_missing")], ("cannot_tell", "time_missing")),
        ([("excluded", "exempt"), ("met", None)], ("met", None)),
        ([("excepted", "patient"), ("met", None)], ("met", None)),
        ([("excepted", "patient"), ("excluded", "exempt")], ("excepted", "patient")),
        ([("excepted", "patient"), ("not_met", None)], ("not_met", None)),
        ([("excluded", "newborn"), ("excluded", "exempt")], ("excluded", "exempt")),
        ([("cannot_tell", "not_assessable"), ("cannot_tell", "not_documented")], ("cannot_tell", "not_documented")),
        ([("cannot_tell", "not_documented"), ("not_met", None)], ("not_met", None)),
    ],
)
def test_the_worst_opportunity_speaks_for_the_report(outcomes: list[Outcome], expected: Outcome) -> None:
    """Precedence of exclusion, exception and numerator: clinical.md M-02 (CMS eCQM logic guidance)."""
    found = rolled(*outcomes)
    assert (found["outcome"], found["reason"]) == expected


def test_a_finding_is_the_systems_only_when_no_crew_can_answer_any_part_of_it() -> None:
    system = determination("2026-01", 1, "a-rule", "not_met", answerable_by="system")
    crew = determination("2026-01", 1, "a-rule", "not_met")
    silent = determination("2026-01", 1, "a-rule", "cannot_tell", "not_documented")
    assert roll_up(stored([system, silent])).collect()["by_system"].to_list() == [True]
    assert roll_up(stored([system, crew])).collect()["by_system"].to_list() == [False]
    assert roll_up(stored([silent])).collect()["by_system"].to_list() == [False]


def test_reports_of_two_months_with_one_number_stay_two_reports() -> None:
    rows = [determination(month, 7, "a-rule", "met") for month in ("2026-01", "2026-02")]
    assert roll_up(stored(rows)).collect().height == 2


@given(
    some.lists(
        some.sampled_from(
            [(word, None) for word in ("met", "not_met")]
            + [("cannot_tell", reason) for reason in CANNOT_TELL_REASONS]
            + [("excluded", "exempt"), ("excepted", "patient")]
        ),
        min_size=1,
        max_size=6,
    )
)
def test_it_agrees_with_the_roll_up_written_out_in_words(outcomes: list[Outcome]) -> None:
    words = [outcome for outcome, _ in outcomes]
    expected = next(word for word in ("not_met", "cannot_tell", "met", "excepted", "excluded") if word in words)
    reasons = [reason for outcome, reason in outcomes if outcome == expected]
    first = next((reason for reason in CANNOT_TELL_REASONS if reason in reasons), reasons[0])
    found = rolled(*outcomes)
    assert (found["outcome"], found["reason"]) == (expected, first)


def test_the_order_of_outcomes_is_the_tables_order() -> None:
    assert OUTCOME_WORDS == ["not_met", "cannot_tell", "met", "excepted", "excluded"]
    assert isinstance(roll_up(stored([])).collect(), pl.DataFrame)
