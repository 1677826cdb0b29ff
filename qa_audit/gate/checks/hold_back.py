"""The only checks that hold a report back; a badly charted report stays, or the poor charts would leave the count.

What ingest cannot read at all (`unreadable`, `not_emsdataset`, `version_not_supported`, `identifiers_refused`)
never becomes a row of `reports` and stands in `held_back` already.
"""

from __future__ import annotations

from dataclasses import dataclass

import polars as pl

from qa_audit.gate.check import Answers, Check, Holds, OneOf, Recorded
from qa_audit.gate.sheet import Sheet

FILED_UNDER_THE_ASKED_MONTH = "outside_month"


@dataclass(frozen=True)
class HoldBack:
    """A check that holds back, and the sentence each of its held-back rows carries."""

    check: Check
    told: str


def hold_backs(month: str | None, agency: str | None) -> tuple[HoldBack, ...]:
    """Return the checks in the order in which the first that fails is a report's reason.

    What does not belong to this run comes first: it does not count toward the share of a month that is unfit.
    `month` is the asked month and `agency` the run's agency pseudonym; null asks nothing.
    """
    return (*_belonging(month, agency), *_READABLE, _superseded(month, agency))


def _belonging(month: str | None, agency: str | None) -> tuple[HoldBack, ...]:
    return (
        HoldBack(
            Check(
                "outside_month",
                "chronology",
                "hold_back",
                "The report's local date lies in the asked month.",
                "the command's --month",
                None if month is None else OneOf("month", (month,)),
            ),
            f"The report's unit was notified outside {month}, the month asked for; run its own month to audit it.",
        ),
        HoldBack(
            Check(
                "other_agency",
                "coherence",
                "hold_back",
                "The report is of the agency this run is for.",
                "one agency per run: settings agency.number, else the first agency read",
                None if agency is None else OneOf("agency", (agency,)),
            ),
            "The report is of another agency than this run, which holds one agency's reports; run each agency with"
            " its own settings and output folder.",
        ),
    )


_READABLE = (
    HoldBack(
        Check(
            "no_uuid",
            "completeness",
            "hold_back",
            "The report carries its UUID.",
            "NEMSIS v3.5: PatientCareReport UUID is required",
            Recorded("report_id"),
        ),
        "The report carries no UUID, so it cannot be told from others; NEMSIS v3.5 requires one on every"
        " report: export it again with its UUID.",
    ),
    HoldBack(
        Check(
            "no_unit_notified",
            "completeness",
            "hold_back",
            "The report says when the unit was notified.",
            "NEMSIS v3.5.1: eTimes.03 is mandatory",
            Recorded("month"),
        ),
        "The report has no readable time for unit notified (eTimes.03), so it belongs to no month; a date, time"
        " and offset such as 2026-01-31T10:00:00-06:00 are allowed: complete it and export it again.",
    ),
)


def _superseded(month: str | None, agency: str | None) -> HoldBack:
    return HoldBack(
        Check(
            "superseded",
            "coherence",
            "hold_back",
            "The report is the last one read of those with its UUID.",
            "NEMSIS UUID guide: the same UUID again is an update of the same report",
            Holds(read_last(month, agency)),
        ),
        "The same report was read again later in this run and the last one read counts; nothing to do, unless the"
        " order of the inputs is not the order in which they were exported.",
    )


def read_last(month: str | None, agency: str | None) -> Answers:
    """Ask reports that nothing else holds back whether no later one has the same `report_id`."""

    def of(sheet: Sheet) -> pl.LazyFrame:
        stands = pl.col("report_id").is_not_null() & pl.col("month").is_not_null()
        ours = pl.lit(value=True) if agency is None else (pl.col("agency") == agency).fill_null(value=True)
        asked = pl.lit(value=True) if month is None else pl.col("month") == month
        return sheet.reports.filter(stands, ours, asked).select(
            "report", holds=pl.col("report") == pl.col("report").max().over("report_id")
        )

    return of
