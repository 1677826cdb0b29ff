"""Phases: a changed rule begins a new one, a straggler does not."""

from __future__ import annotations

import polars as pl
from report.months import determination, stored

from qa_audit.measure.phases import phases
from qa_audit.measure.rollup import roll_up

OLD, NEW = "1" * 64, "2" * 64


def by_month(versions: dict[str, list[str]]) -> list[tuple[int, bool]]:
    rows = [
        determination(month, report, "a-rule", "met", rule_hash=version)
        for month, hashes in versions.items()
        for report, version in enumerate(hashes)
    ]
    found = phases(roll_up(stored(rows)).collect()).filter(pl.col("level").cast(pl.String) == "month")
    return found.sort("period").select("phase", "changeover").rows()


def test_a_month_after_the_change_is_another_phase() -> None:
    assert by_month({"2026-01": [OLD] * 9, "2026-02": [NEW] * 9}) == [(0, False), (1, False)]


def test_a_month_in_which_both_versions_judged_is_a_changeover() -> None:
    assert by_month({"2026-01": [OLD] * 9, "2026-02": [OLD] * 5 + [NEW] * 4})[1] == (0, True)


def test_one_call_across_the_boundary_makes_no_changeover() -> None:
    assert by_month({"2026-01": [OLD] * 30 + [NEW], "2026-02": [NEW] * 30}) == [(0, False), (1, False)]


def test_reports_no_edition_was_in_force_for_begin_no_phase() -> None:
    rows = [determination("2026-01", 1, "a-rule", "cannot_tell", "no_edition", rule_hash=OLD)]
    assert phases(roll_up(stored(rows)).collect()).height == 0
