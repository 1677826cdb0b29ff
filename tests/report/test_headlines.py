"""The head of the dashboard: sentences and wishes computed from what is published."""

from __future__ import annotations

from typing import Any

from report.months import ATTEMPTS, FILTER, OXYGEN, determination, invented, month_of, ruleset, settings, stored

from qa_audit import measure
from qa_audit.report.asked import Asked, asked_of
from qa_audit.report.headlines import sentences, wanted

EDITION = ruleset().editions[0]
MONTH = "2025-11"


def asked(rule: str, outcomes: list[tuple[str, str | None]], **columns: Any) -> Asked:
    rows = [determination(MONTH, report, rule, *outcome, **columns) for report, outcome in enumerate(outcomes)]
    return asked_of(MONTH, measure.count(stored(rows)), ruleset(), EDITION, EDITION.rules[rule])


MET, NOT, SILENT, NO_FIELD = (
    ("met", None),
    ("not_met", None),
    ("cannot_tell", "not_documented"),
    ("cannot_tell", "not_assessable"),
)


def test_a_field_that_is_missing_is_asked_for_with_the_reports_that_wait() -> None:
    (wish,) = wanted([asked(FILTER, [NO_FIELD] * 30)], settings())
    assert wish == (
        "One field in the charting system, for: A viral filter is in line; the standard has no field for it. "
        "Without it “A viral filter is in line wherever air is pushed in” cannot be judged here "
        "(30 reports of the month wait for it)."
    )


def test_a_small_number_of_waiting_reports_is_not_told() -> None:
    assert wanted([asked(FILTER, [NO_FIELD] * 7)], settings())[0].endswith("cannot be judged here.")


def test_findings_that_only_the_service_can_answer_are_its_own_wish() -> None:
    (wish,) = wanted([asked(OXYGEN, [MET] * 40 + [NOT] * 15, answerable_by="system")], settings())
    assert wish == (
        "15 findings on “Oxygen is kept within the target saturation” are for the service to answer (equipment, stock, "
        "training, records), not for crews."
    )


def test_much_silence_is_a_wish_for_charting_and_little_is_none() -> None:
    assert (
        "in 30 of 100 reports it cannot be told" in wanted([asked(OXYGEN, [MET] * 70 + [SILENT] * 30)], settings())[0]
    )
    assert wanted([asked(OXYGEN, [MET] * 71 + [SILENT] * 29)], settings()) == []


def test_without_a_peer_review_statement_that_is_the_first_wish() -> None:
    wishes = wanted([asked(FILTER, [NO_FIELD] * 30)], settings(peer_review=None))
    assert wishes[0].startswith("The service's own peer-review statement")


def test_more_than_five_wishes_are_cut_to_five() -> None:
    assert len(wanted([asked(FILTER, [NO_FIELD] * 30)] * 9, settings())) == 5


def test_few_months_are_told_as_few_and_never_as_no_change() -> None:
    month = month_of(invented([MONTH]), MONTH)
    said = sentences(month, [asked(ATTEMPTS, [MET] * 40 + [NOT] * 20)], months=1)
    assert said[0] == "40 reports of November 2025 were screened against 1 standard."
    assert said[1].startswith("Whether care is moving cannot be said yet: 1 month is stored")


def test_the_most_silent_rule_is_named() -> None:
    month = month_of(invented([MONTH]), MONTH)
    said = sentences(month, [asked(OXYGEN, [MET] * 60 + [SILENT] * 40), asked(ATTEMPTS, [MET] * 80 + [SILENT] * 20)], 1)
    assert "in 40 of 100 reports (40\N{NO-BREAK SPACE}%) it cannot be told whether “Oxygen is kept" in said[2]
