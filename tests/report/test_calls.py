from __future__ import annotations

from datetime import UTC, datetime, timedelta

import polars as pl
from hypothesis import given
from hypothesis import strategies as st
from report.charted_month import charted_month, ruleset, settings

from qa_audit.report.calls import calls_of, rolled_up
from qa_audit.report.in_force import editions_in
from qa_audit.tables import DETERMINATIONS
from qa_audit.tables.determinations import CANNOT_TELL_REASONS, OUTCOME_WORDS

JUDGED = [("met", None), ("not_met", None), ("excluded", "exempt"), ("excepted", "patient:not-tolerated")]
ANY = st.sampled_from([*JUDGED, *(("cannot_tell", reason) for reason in CANNOT_TELL_REASONS)])


@given(st.lists(st.tuples(st.integers(1, 3), st.sampled_from(["a", "b"]), ANY), max_size=20))
def test_a_report_has_one_outcome_per_rule_the_gravest_first_and_then_the_first_doubt(
    rows: list[tuple[int, str, tuple[str, str | None]]],
) -> None:
    made = DETERMINATIONS.frame(
        [
            {"report": report, "rule": rule, "outcome": outcome, "reason": reason}
            for report, rule, (outcome, reason) in rows
        ]
    )
    found = {(report, rule): (outcome, reason) for report, rule, outcome, reason, _ in rolled_up(made).iter_rows()}
    order = [*CANNOT_TELL_REASONS, None, "exempt", "patient:not-tolerated"]
    for key in {(report, rule) for report, rule, _ in rows}:
        mine = [judged for report, rule, judged in rows if (report, rule) == key]
        assert found[key] == min(mine, key=lambda each: (OUTCOME_WORDS.index(each[0]), order.index(each[1])))
    assert len(found) == len({(report, rule) for report, rule, _ in rows})


def test_a_call_is_named_by_local_day_time_and_vehicle_label() -> None:
    call = calls_of(charted_month().batch.reports, settings())[1]
    assert (call.when, call.short, call.vehicle) == ("3 January 2026, 10:00", "3 Jan 10:00", "Unit 7")


def test_a_time_on_another_day_carries_its_date_and_seconds_are_kept() -> None:
    call = calls_of(charted_month().batch.reports, settings())[1]
    noon = datetime(2026, 1, 3, 18, 0, 30, tzinfo=UTC)
    assert call.clock(noon) == "12:00:30"
    assert call.clock(noon + timedelta(days=1)) == "12:00:30 on 4 January 2026"


def test_a_vehicle_without_label_or_name_is_not_invented() -> None:
    nameless = charted_month().batch.reports.with_columns(ems_unit=pl.lit(None, pl.String))
    assert calls_of(nameless, settings())[1].vehicle == "not recorded"


def test_the_month_of_a_changeover_has_both_editions_and_its_neighbours_one() -> None:
    labels = {
        month: [each.folder for each in editions_in(ruleset(), month)] for month in ("2026-01", "2026-02", "2026-03")
    }
    assert labels == {"2026-01": ["2020-01-01"], "2026-02": ["2020-01-01", "2026-02-17"], "2026-03": ["2026-02-17"]}
    assert editions_in(ruleset(), "2019-12") == ()
