from __future__ import annotations

from dataclasses import replace

import polars as pl
from charting import SATURATION, Charts

from qa_audit.tables import HELD_BACK, RUN_CHECK_RESULTS, Batch, filing
from qa_audit.tables.batch import Source


def two_months() -> Batch:
    charts = Charts()
    for day in ("2026-02-03", "2026-01-10", "2026-02-04"):
        report = charts.report(day)
        charts.saturation(report, "10:05", 90 + report)
    held = [{"month": month, "source": 0, "check": "superseded", "sentence": "Again."} for month in ("2026-03", None)]
    source = Source(ordinal=0, sha256="0" * 64, reports=5)
    return replace(charts.batch(), held_back=HELD_BACK.frame(held), sources=(source,))


def results() -> pl.DataFrame:
    row = {"check": "times_in_order", "family": "chronology", "verdict": "warn", "sentence": "In order.", "basis": "x"}
    counts = {"asked": 3, "failed": 2, "failed_reports": [1, 2], "asked_reports": [0, 1, 2]}
    return RUN_CHECK_RESULTS.frame([{**row, **counts}])


def test_every_report_read_stands_in_one_month_or_in_none() -> None:
    batch = two_months()
    months = {month: part for month, part, _ in filing.by_month(batch, results())}
    assert list(months) == ["2026-01", "2026-02", "2026-03"]
    read = [part.reports.collect().height + part.held_back.height for part in months.values()]
    assert read == [1, 2, 1]
    assert filing.undated(batch).held_back.height == 1


def test_reports_and_facts_are_numbered_from_0_inside_their_month() -> None:
    february = next(part for month, part, _ in filing.by_month(two_months(), results()) if month == "2026-02")
    assert february.reports.collect()["report"].to_list() == [0, 1]
    facts = february.facts.collect()
    assert facts.select("fact", "report", "value").rows() == [(0, 0, 90.0), (1, 1, 92.0)]
    assert facts["item"].cast(pl.String).unique().to_list() == [SATURATION]


def test_a_months_check_results_count_its_own_reports() -> None:
    found = {month: table.row(0, named=True) for month, _, table in filing.by_month(two_months(), results())}
    asked = {month: (row["asked"], row["failed"], row["failed_reports"]) for month, row in found.items()}
    assert asked == {"2026-01": (1, 1, [0]), "2026-02": (2, 1, [1]), "2026-03": (0, 0, [])}
