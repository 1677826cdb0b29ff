"""Counts: every number is reports, for the service and for each recipient."""

from __future__ import annotations

import polars as pl
from report.months import OXYGEN, calendar, determination, invented, stored

from qa_audit.measure.counts import counts, reasons
from qa_audit.measure.rollup import roll_up


def counted(rows: list[dict[str, object]]) -> pl.DataFrame:
    return counts(roll_up(stored(rows)).collect())


def test_two_members_of_one_report_count_once() -> None:
    rows = [
        determination("2026-01", 1, "a-rule", outcome, member=member)
        for member, outcome in (("P-A", "met"), ("P-B", "not_met"))
    ]
    assert counted(rows).filter(pl.col("recipient").is_null()).select("met", "not_met").row(0) == (0, 1)


def test_what_no_field_and_no_edition_could_answer_is_counted_beside_what_cannot_be_told() -> None:
    told = ["not_documented", "not_documented", "list_incomplete", "not_assessable", "no_edition"]
    rows = [determination("2026-01", report, "a-rule", "cannot_tell", reason) for report, reason in enumerate(told)]
    service = counted(rows).filter(pl.col("recipient").is_null())
    columns = ("cannot_tell", "not_documented", "not_assessable", "no_edition")
    assert service.select(columns).row(0) == (3, 2, 1, 1)


def test_a_report_without_a_recipient_counts_for_the_service_alone() -> None:
    rows = [
        determination("2026-01", 1, "a-rule", "met", recipient=None),
        determination("2026-01", 2, "a-rule", "met", recipient="U-A"),
    ]
    assert counted(rows).select("recipient", "met").rows() == [(None, 2), ("U-A", 1)]


def test_recipients_add_up_to_the_service_when_everybody_is_known() -> None:
    figures = counted(invented(calendar("2026-01", 3)))
    columns = ["met", "not_met", "cannot_tell", "not_documented", "not_assessable", "excluded"]
    service = figures.filter(pl.col("recipient").is_null()).sort("month", "rule").select(columns)
    each = figures.filter(pl.col("recipient").is_not_null()).group_by("month", "rule").agg(pl.col(columns).sum())
    assert service.rows() == each.sort("month", "rule").select(columns).rows()


def test_reasons_of_a_rule_add_up_to_the_reports_it_was_asked_of() -> None:
    rows = invented(["2026-01"])
    rolled = roll_up(stored(rows)).collect()
    asked = {row["report"] for row in rows if row["rule"] == OXYGEN}
    assert reasons(rolled).filter(pl.col("rule") == OXYGEN)["reports"].sum() == len(asked)
