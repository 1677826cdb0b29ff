"""Calls: what a page says of a report besides its care, and its outcome per rule after the roll-up."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

import polars as pl

from qa_audit.report.wording import day, local
from qa_audit.settings import Settings
from qa_audit.tables.determinations import CANNOT_TELL_REASONS, OUTCOMES


@dataclass(frozen=True)
class Call:
    """One report as pages name it: local date and time of the unit's notification, vehicle label."""

    report: int
    report_id: str
    vehicle: str
    notified: datetime
    time_zone: str | None
    offset_minutes: int | None

    @property
    def when(self) -> str:
        """Return local date and time: 3 January 2026, 10:05."""
        return f"{day(self.notified)}, {self.notified:%H:%M}"

    @property
    def short(self) -> str:
        """Return day and time for a list of one month's calls: 3 Jan 10:05."""
        return f"{self.notified.day} {day(self.notified).split()[1][:3]} {self.notified:%H:%M}"

    def clock(self, moment: datetime) -> str:
        """Return an instant as local time of day; with the date when it is not the call's."""
        there = local(moment, self.time_zone, self.offset_minutes)
        seconds = f"{there:%H:%M:%S}" if there.second else f"{there:%H:%M}"
        return seconds if there.date() == self.notified.date() else f"{seconds} on {day(there)}"


def calls_of(reports: pl.LazyFrame, settings: Settings) -> dict[int, Call]:
    """Return a call for each report (columns as the reports table), by report number."""
    columns = ("report", "report_id", "ems_unit", "unit_notified", "time_zone", "offset_minutes")
    return {
        report: Call(report, report_id, settings.label(unit), local(notified, zone, offset), zone, offset)
        for report, report_id, unit, notified, zone, offset in reports.select(columns).collect().iter_rows()
    }


def rolled_up(determinations: pl.DataFrame) -> pl.DataFrame:
    """Return one row a report and rule: `report`, `rule`, `outcome`, `reason`, `edition`.

    Any not_met, else any cannot_tell (the first reason in the contracts' order), else met, excepted, excluded.
    """
    reasons = {reason: place for place, reason in enumerate(CANNOT_TELL_REASONS)}
    place = pl.col("reason").cast(pl.String).replace_strict(reasons, default=len(reasons), return_dtype=pl.Int32)
    return (
        determinations.with_columns(pl.col("outcome").cast(OUTCOMES), place=place)
        .sort("report", "rule", "outcome", "place", maintain_order=True)
        .unique(("report", "rule"), keep="first", maintain_order=True)
        .select("report", "rule", pl.col("outcome").cast(pl.String), pl.col("reason").cast(pl.String), "edition")
    )
