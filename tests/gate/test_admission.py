from __future__ import annotations

from datetime import date

import polars as pl
import pytest
from gate.building import CONCEPTS, Report, batch, fact, report
from hypothesis import given, settings
from hypothesis import strategies as st

from qa_audit.gate import Gated, admit
from qa_audit.settings import Settings
from qa_audit.tables import HELD_BACK

UNDATED = {"month": None, "local_date": None, "offset_minutes": None, "unit_notified": None}


def gate(*reports: Report, month: str | None = None, agency: str | None = None, **tables: pl.DataFrame) -> Gated:
    return admit(batch(*reports, **tables), Settings(), concepts=CONCEPTS, month=month, agency=agency)


def admitted(gated: Gated) -> list[int]:
    return gated.batch.reports.collect()["report"].to_list()


def held(gated: Gated) -> list[tuple[int, str]]:
    rows = gated.batch.held_back.select(pl.col("position") // 1000, pl.col("check").cast(pl.String))
    return list(rows.iter_rows())


def test_an_ordinary_report_is_admitted_and_fails_no_check() -> None:
    gated = gate(report())

    assert admitted(gated) == [1]
    assert gated.batch.held_back.is_empty()
    assert gated.check_results["failed"].sum() == 0


def test_reports_without_uuid_or_unit_notified_are_held_back() -> None:
    gated = gate(report(report_id=None), report(**UNDATED), report())

    assert admitted(gated) == [3]
    assert held(gated) == [(1, "no_uuid"), (2, "no_unit_notified")]


def test_of_one_report_read_three_times_the_last_one_stands() -> None:
    again = {"report_id": "R-AGAIN"}
    gated = gate(report(**again), report(**again), report(), report(**again))

    assert admitted(gated) == [3, 4]
    assert held(gated) == [(1, "superseded"), (2, "superseded")]


def test_a_later_copy_that_cannot_be_admitted_supersedes_nothing() -> None:
    again = {"report_id": "R-AGAIN"}
    gated = gate(report(**again), report(**again, **UNDATED), report(**again, agency="A-OTHER"))

    assert admitted(gated) == [1]
    assert held(gated) == [(2, "no_unit_notified"), (3, "other_agency")]


def test_reports_of_other_months_are_filed_under_the_month_asked_for() -> None:
    gated = gate(report(month="2025-12", local_date=date(2025, 12, 31)), report(), month="2026-01")

    assert admitted(gated) == [2]
    assert held(gated) == [(1, "outside_month")]
    assert gated.batch.held_back["month"].to_list() == ["2026-01"]


def test_without_a_month_asked_every_month_is_admitted() -> None:
    gated = gate(report(month="2025-12"), report())

    assert admitted(gated) == [1, 2]


def test_an_undated_report_is_undated_and_not_outside_the_month() -> None:
    gated = gate(report(**UNDATED), report(), month="2026-01")

    assert held(gated) == [(1, "no_unit_notified")]
    assert gated.batch.held_back["month"].to_list() == [None]


def test_the_first_agency_read_is_the_runs_when_none_is_given() -> None:
    gated = gate(report(agency=None), report(agency="A-FIRST"), report(agency="A-SECOND"))

    assert admitted(gated) == [1, 2]
    assert held(gated) == [(3, "other_agency")]


def test_the_agency_given_decides_whatever_was_read_first() -> None:
    gated = gate(report(agency="A-FIRST"), report(agency="A-SECOND"), agency="A-SECOND")

    assert held(gated) == [(1, "other_agency")]


def test_a_report_with_several_reasons_stands_under_one() -> None:
    gated = gate(report(), report(month="2025-12", agency="A-OTHER", report_id=None), month="2026-01")

    assert held(gated) == [(2, "outside_month")]


def test_a_held_back_row_says_where_the_report_stands_and_what_to_do() -> None:
    row = gate(report(), report(report_id=None)).batch.held_back.row(0, named=True)

    assert row["month"] == "2026-01"
    assert row["source"] == 1
    assert row["source_sha256"] == "f" * 64
    assert row["position"] == 2000
    assert row["record_sha256"] == f"{2:064d}"
    assert row["report_id"] is None
    assert row["sentence"].count(".") == 2  # one sentence, and the one in "v3.5"
    assert "export it again" in row["sentence"]


def test_what_ingest_held_back_stays_first() -> None:
    before = HELD_BACK.frame([{"source": 2, "source_sha256": "a" * 64, "check": "unreadable", "sentence": "Told."}])
    gated = gate(report(report_id=None), report(), held_back=before)

    assert gated.batch.held_back["check"].to_list() == ["unreadable", "no_uuid"]
    assert gated.batch.held_back.schema == HELD_BACK.schema


@pytest.mark.parametrize("name", ["reports", "facts", "members", "narratives", "records", "remarks"])
def test_only_what_belongs_to_an_admitted_report_goes_on(name: str) -> None:
    one = report(fact("eVitals.06", value=120), remarks=("offset_unknown",))
    two = report(fact("eVitals.06", value=130), remarks=("offset_unknown",), report_id=None)
    gated = gate(one, two)

    assert getattr(gated.batch, name).collect()["report"].unique().to_list() == [1]


def test_a_badly_charted_report_is_never_held_back() -> None:
    odd = report(
        fact("eVitals.12", None, value=130),
        members=(),
        remarks=("unknown_code", "not_a_time"),
        unit_notified=None,
        en_route=None,
        at_patient=None,
        ems_unit=None,
        agency=None,
        age_years=None,
    )
    assert admitted(gate(odd)) == [1]


def test_an_empty_batch_is_judged_without_an_error() -> None:
    gated = gate()

    assert gated.batch.held_back.is_empty()
    assert gated.check_results["asked"].sum() == 0


one_report = st.builds(
    report,
    report_id=st.sampled_from([None, "R-A", "R-B", "R-C", "R-D"]),
    month=st.sampled_from([None, "2025-12", "2026-01"]),
    agency=st.sampled_from([None, "A-ONE", "A-TWO"]),
)


@settings(max_examples=20, deadline=None)
@given(
    reports=st.lists(one_report, max_size=12),
    month=st.sampled_from([None, "2026-01"]),
    agency=st.sampled_from([None, "A-ONE", "A-NOBODY"]),
    before=st.integers(0, 2),
)
def test_reports_read_are_admitted_or_held_back_and_never_both(
    reports: list[Report], month: str | None, agency: str | None, before: int
) -> None:
    told = HELD_BACK.frame([{"source": 9, "check": "unreadable", "position": -1000}] * before)
    gated = gate(*reports, month=month, agency=agency, held_back=told)

    stands, out = admitted(gated), [number for number, _ in held(gated)]
    assert sorted(stands + out) == [-1] * before + list(range(1, len(reports) + 1))
    kept = [reports[number - 1].columns for number in stands]
    assert len({one["report_id"] for one in kept}) == len(kept)
    assert all(one["report_id"] and one["month"] for one in kept)
    assert len({one["agency"] for one in kept} - {None}) <= 1
