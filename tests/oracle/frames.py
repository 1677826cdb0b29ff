"""A month as the stages see it: the oracle's reports as table frames."""

from __future__ import annotations

from dataclasses import asdict, replace
from datetime import UTC, datetime, timedelta

import polars as pl

from oracle.clock import zone_of
from oracle.model import Fact, Report
from qa_audit import tables
from qa_audit.tables import FACTS, MEMBERS, REPORTS, Batch

MILESTONES = ("unit_notified", "at_patient", "left_scene", "at_destination", "transfer_of_care")


def as_time(instant: int | None) -> datetime | None:
    """Return an instant as a date-time in UTC."""
    return None if instant is None else datetime(1970, 1, 1, tzinfo=UTC) + timedelta(milliseconds=instant)


def number_facts(reports: list[Report]) -> list[Report]:
    """Number facts as the table does: sorted by item, report and time over the month."""
    order = sorted(
        (fact for report in reports for fact in report.facts),
        key=lambda fact: (fact.item, fact.report, fact.time is None, fact.time or 0),
    )
    numbered: dict[int, list[Fact]] = {}
    for number, fact in enumerate(order):
        numbered.setdefault(fact.report, []).append(replace(fact, fact=number))
    return [replace(report, facts=tuple(numbered.get(report.report, []))) for report in reports]


def reports_frame(reports: list[Report]) -> pl.DataFrame:
    """Return the table of reports."""
    return REPORTS.frame([report_row(report) for report in reports])


def report_row(report: Report) -> dict[str, object]:
    """Return one row; the local day is that of unit notified."""
    notified = as_time(report.unit_notified)
    assert notified is not None
    local = notified.astimezone(zone_of(report))
    offset = local.utcoffset()
    assert offset is not None
    return {
        "report": report.report,
        "report_id": f"R-{report.report:010}",
        "recipient": "U-AAAAAAAAAA",
        "month": f"{local:%Y-%m}",
        "local_date": local.date(),
        "offset_minutes": int(offset.total_seconds() // 60),
        "time_zone": report.zone if isinstance(report.zone, str) else None,
        **{name: as_time(getattr(report, name)) for name in MILESTONES},
        "age_years": report.age_years,
        "service_type": report.service_type,
        "transported": report.transported,
        "subset": report.subset,
        "standard_version": report.standard_version,
        "source": 0,
        "source_sha256": "0" * 64,
    }


def facts_frame(reports: list[Report]) -> pl.DataFrame:
    """Return the table of facts, in the order of their numbers."""
    facts = sorted((fact for report in reports for fact in report.facts), key=lambda fact: fact.fact)
    return FACTS.frame([{**asdict(fact), "time": as_time(fact.time)} for fact in facts])


def members_frame(reports: list[Report]) -> pl.DataFrame:
    """Return the table of members."""
    rows: list[dict[str, object]] = []
    for report in reports:
        named = {fact.member for fact in report.facts if fact.item.startswith("eOther.03") and fact.member}
        rows += [
            {
                "report": report.report,
                "member": entry.member,
                "level": entry.level,
                "roles": list(entry.roles),
                "ppe_recorded": entry.member in named,
            }
            for entry in report.members
        ]
    return MEMBERS.frame(rows)


def batch_of(reports: list[Report]) -> Batch:
    """Return a batch that holds these reports and nothing else."""
    return Batch(
        reports=reports_frame(reports).lazy(),
        facts=facts_frame(reports).lazy(),
        members=members_frame(reports).lazy(),
        narratives=tables.NARRATIVES.empty().lazy(),
        records=tables.RECORDS.empty().lazy(),
        remarks=tables.REMARKS.empty().lazy(),
        definitions=tables.DEFINITIONS.empty(),
        held_back=tables.HELD_BACK.empty(),
        sources=(),
    )
