"""A small batch, written as a list of facts: what the gate's tests start from."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta

import polars as pl

from qa_audit.tables import DEFINITIONS, FACTS, HELD_BACK, MEMBERS, NARRATIVES, RECORDS, REMARKS, REPORTS, Batch

NOTIFIED = datetime(2026, 1, 10, 10, 0, tzinfo=UTC)

# Codes are words here: the gate knows no code, only what the concepts of an edition say.
CONCEPTS = {
    "oxygen": frozenset({"eMedications.03=oxygen", "eProcedures.03=mask", "eProcedures.03=cannula"}),
    "oxygen_by_cannula": frozenset({"eMedications.04=cannula", "eProcedures.03=cannula"}),
    "oxygen_by_simple_mask": frozenset({"eProcedures.03=mask"}),
    "oxygen_by_non_rebreather": frozenset({"eMedications.04=reservoir"}),
    "oxygen_saturation": frozenset({"eVitals.12"}),
    "intubation": frozenset({"eProcedures.03=tube"}),
    "induction": frozenset({"eProcedures.03=induction"}),
    "supraglottic": frozenset({"eProcedures.03=supraglottic"}),
    "airway_confirmed": frozenset({"eAirway.03=tube"}),
}


def at(minutes: float) -> datetime:
    """Return the instant so many minutes after the unit was notified."""
    return NOTIFIED + timedelta(minutes=minutes)


@dataclass
class Report:
    """One report: columns of `reports` that differ from an ordinary transport, and what belongs to it."""

    columns: dict[str, object] = field(default_factory=dict)
    facts: list[dict[str, object]] = field(default_factory=list)
    members: list[dict[str, object]] = field(default_factory=list)
    remarks: list[dict[str, object]] = field(default_factory=list)


def report(
    *facts: dict[str, object],
    members: tuple[str | None, ...] = ("P-LEAD", "P-SECOND"),
    remarks: tuple[str, ...] = (),
    **columns: object,
) -> Report:
    """Return a report with these facts; without any it trips no check."""
    return Report(
        columns,
        list(facts),
        [{"member": member} for member in members],
        [{"remark": remark} for remark in remarks],
    )


def fact(item: str, minutes: float | None = 20, **columns: object) -> dict[str, object]:
    """Return a fact of this crew, documented as done, so many minutes after the unit was notified."""
    time = None if minutes is None else at(minutes)
    return {"item": item, "time": time, "status": "present", "origin": "coded", "by_others": False, **columns}


def oxygen(
    flow: float | None, route: str | None = "other", group: int = 1, **columns: object
) -> list[dict[str, object]]:
    """Return an oxygen entry: the drug with its flow, and the route when there is one."""
    drug = fact("eMedications.03=oxygen", value=flow, call_group=group, **{"unit": "L/min", **columns})
    return [drug] if route is None else [drug, fact(f"eMedications.04={route}", call_group=group)]


def saturation(value: float | None, minutes: float = 20, **columns: object) -> dict[str, object]:
    """Return a saturation of this crew."""
    return fact("eVitals.12", minutes, value=value, **columns)


def _reports(reports: list[Report]) -> pl.DataFrame:
    def row(number: int, columns: dict[str, object]) -> dict[str, object]:
        ordinary: dict[str, object] = {
            "report": number,
            "report_id": f"R-{number:010d}",
            "agency": "A-OURS",
            "ems_unit": "U-SEVEN",
            "recipient": "U-SEVEN",
            "month": "2026-01",
            "local_date": date(2026, 1, 10),
            "offset_minutes": 0,
            "psap_call": at(-1),
            "unit_notified": at(0),
            "en_route": at(1),
            "on_scene": at(8),
            "at_patient": at(10),
            "left_scene": at(30),
            "at_destination": at(45),
            "transfer_of_care": at(50),
            "back_in_service": at(60),
            "age_years": 60.0,
            "patient_contact": True,
            "care_provided": True,
            "transported": True,
            "subset": "full",
            "standard_version": "3.5.1",
            "source": 1,
            "source_sha256": "f" * 64,
        }
        return {**ordinary, **columns}

    return REPORTS.frame([row(number, one.columns) for number, one in enumerate(reports, start=1)])


def batch(*reports: Report, definitions: pl.DataFrame | None = None, held_back: pl.DataFrame | None = None) -> Batch:
    """Return the reports as ingest hands them over, numbered from 1 in the order given."""
    numbered = list(enumerate(reports, start=1))

    def rows(name: str) -> list[dict[str, object]]:
        return [{"report": number, **row} for number, one in numbered for row in getattr(one, name)]

    facts = [{"fact": fact_number, **row} for fact_number, row in enumerate(rows("facts"))]
    records = [
        {"report": number, "position": number * 1000, "record_sha256": f"{number:064d}"} for number, _ in numbered
    ]
    return Batch(
        reports=_reports(list(reports)).lazy(),
        facts=FACTS.frame(facts).sort("item", "report", "time").lazy(),
        members=MEMBERS.frame(rows("members")).lazy(),
        narratives=NARRATIVES.frame(
            [{"report": number, "text": "An invented story."} for number, _ in numbered]
        ).lazy(),
        records=RECORDS.frame(records).lazy(),
        remarks=REMARKS.frame(rows("remarks")).lazy(),
        definitions=DEFINITIONS.empty() if definitions is None else definitions,
        held_back=HELD_BACK.empty() if held_back is None else held_back,
        sources=(),
    )
