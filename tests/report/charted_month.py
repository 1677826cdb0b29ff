"""A small invented month with real charts: facts that the audit itself judges, for letters and evidence pages."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Any

import polars as pl

from qa_audit import audit
from qa_audit.rules import Ruleset, load
from qa_audit.settings import Agency, CustomElement, PeerReview, Settings
from qa_audit.tables import (
    CHECK_RESULTS,
    DEFINITIONS,
    FACTS,
    FIGURES,
    HELD_BACK,
    MEMBERS,
    NARRATIVES,
    RECORDS,
    REMARKS,
    REPORTS,
    Batch,
    Month,
)

RULESETS = Path(__file__).parents[2] / "rulesets"
OXYGEN, NON_REBREATHER, CANNULA = "eMedications.03=7806", "eMedications.04=9927031", "eMedications.04=9927025"
SATURATION, SUPRAGLOTTIC, TUBE = "eVitals.12", "eProcedures.03=424979004", "eProcedures.03=232674004"
BAG, SURGICAL_MASK, RESPIRATOR, GLOVES = (
    "eProcedures.03=425447009", "eOther.03=4503017", "eOther.03=4503015", "eOther.03=4503001",
)  # fmt: skip
INFLUENZA, FILTER_USED, FILTER_NOT_USED = "eSituation.11=J10.1", "custom:svc.filter=1", "custom:svc.filter=0"
UNIT_7, UNIT_9 = "U-7777777777", "U-9999999999"
ZONE = "America/Chicago"
NURSE, DRIVER = "P-AAAAAAAAAA", "P-BBBBBBBBBB"

Row = dict[str, Any]


@cache
def ruleset() -> Ruleset:
    return load(RULESETS, None)


def settings(**changes: Any) -> Settings:
    return Settings(
        agency=Agency(name="Ostrel Sound Ambulance"),
        time_zone=ZONE,
        labels={UNIT_7: "Unit 7", UNIT_9: "Unit 9"},
        peer_review=PeerReview(
            statement="Prepared for the invented review committee of Ostrel Sound Ambulance.",
            committee="the review committee",
            reply_to="the review desk, second floor",
            reply_within_days=30,
        ),
        custom_elements={"svc.filter": CustomElement(concept="viral_filter", values={"1": "present", "0": "negated"})},
    ).model_copy(update=changes)


class Call:
    """One call under construction: everything is charted in minutes after its start at 10:00 local time."""

    def __init__(self, number: int, unit: str, start: datetime) -> None:
        self.number, self.unit, self.start = number, unit, start
        self.facts: list[Row] = []
        self.group = 0

    def chart(self, *items: str, at: float | None = None, **columns: Any) -> Call:
        self.group += 1
        time = None if at is None else self.start + timedelta(minutes=at)
        shared = {"report": self.number, "time": time, "call_group": self.group, "by_others": False, "origin": "coded",
                  "status": "present", "member": columns.pop("member", None)}  # fmt: skip
        self.facts += [{"item": item, **shared, **(columns if place == 0 else {})} for place, item in enumerate(items)]
        return self

    def beside(self, item: str) -> Call:
        """Chart an agency's own field tied to the entry before it."""
        self.facts.append({**self.facts[-1], "item": item, "time": None, "origin": "custom", "value": None,
                           "unit": None, "count": None, "success": None})  # fmt: skip
        return self

    def report(self) -> Row:
        after = {
            "en_route": 2,
            "on_scene": 10,
            "at_patient": 12,
            "left_scene": 40,
            "at_destination": 60,
            "back_in_service": 90,
        }
        return {
            "report": self.number, "report_id": f"R-{self.number:010d}", "agency": "A-AAAAAAAAAA",
            "ems_unit": self.unit,
            "recipient": self.unit, "incident": f"I-{self.number:010d}", "month": f"{self.start:%Y-%m}",
            "local_date": self.start.date(), "offset_minutes": -360, "time_zone": ZONE, "unit_notified": self.start,
            "age_years": 60.0,
            "service_type": "2205001", "patient_contact": True, "care_provided": True, "transported": True,
            "subset": "full", "standard_version": "3.5.1", "source": 1, "source_sha256": "0" * 64,
            **{name: self.start + timedelta(minutes=minutes) for name, minutes in after.items()},
        }  # fmt: skip


def calls(finding_calls: int = 1) -> list[Call]:
    """Return a month of two vehicles; Unit 7 has `finding_calls` calls with findings, Unit 9 has none."""
    made: list[Call] = []

    def call(unit: str) -> Call:
        made.append(Call(len(made) + 1, unit, datetime(2026, 1, 3 + len(made), 16, 0, tzinfo=UTC)))
        return made[-1]

    for _ in range(finding_calls):
        _too_much_oxygen(call(UNIT_7))
        _two_attempts(call(UNIT_7))
        _surgical_mask_only(call(UNIT_7))
    for _ in range(3):
        _oxygen_turned_down(call(UNIT_7))
        _oxygen_turned_down(call(UNIT_9))
    _nothing_said(call(UNIT_7))
    call(UNIT_7).chart("eSituation.11=R07.9")
    return made


def _too_much_oxygen(call: Call) -> None:
    call.chart(INFLUENZA)
    call.chart(OXYGEN, NON_REBREATHER, at=15, value=15.0, unit="L/min", member=NURSE)
    for minute, value in ((14, 91.0), (25, 99.0), (32, 99.0), (38, 98.0)):
        call.chart(SATURATION, at=minute, value=value)


def _two_attempts(call: Call) -> None:
    call.chart(TUBE, at=20, count=1, success=False, member=NURSE).beside(FILTER_USED)
    call.chart(TUBE, at=27, count=1, success=True, member=NURSE)
    call.chart(RESPIRATOR, GLOVES, member=NURSE)
    call.chart(RESPIRATOR, member=DRIVER)


def _surgical_mask_only(call: Call) -> None:
    call.chart(SUPRAGLOTTIC, at=18, count=1, success=True, member=NURSE).beside(FILTER_NOT_USED)
    call.chart(SURGICAL_MASK, GLOVES, member=NURSE)
    call.chart(SURGICAL_MASK, member=DRIVER)


def _oxygen_turned_down(call: Call) -> None:
    call.chart(OXYGEN, NON_REBREATHER, at=15, value=15.0, unit="L/min", member=NURSE)
    call.chart(SATURATION, at=25, value=97.0).chart(SATURATION, at=30, value=96.0)
    call.chart(OXYGEN, CANNULA, at=31, value=2.0, unit="L/min", member=NURSE).chart(SATURATION, at=45, value=95.0)
    call.chart("eVitals.10", at=45, value=80.0)


def _nothing_said(call: Call) -> None:
    call.chart(BAG, at=20)
    call.chart(OXYGEN, NON_REBREATHER, at=15, value=15.0, unit="L/min")


def charted_month(*, finding_calls: int = 1, chosen: Settings | None = None, made: list[Call] | None = None) -> Month:
    made = calls(finding_calls) if made is None else made
    facts = FACTS.frame([fact for call in made for fact in call.facts]).sort(
        pl.col("item").cast(pl.String), "report", "time"
    )
    batch = Batch(
        reports=REPORTS.frame([call.report() for call in made]).lazy(),
        facts=facts.with_columns(fact=pl.int_range(pl.len(), dtype=pl.UInt32)).lazy(),
        members=MEMBERS.frame(list(_crew(made))).lazy(),
        narratives=NARRATIVES.empty().lazy(),
        records=RECORDS.empty().lazy(),
        remarks=REMARKS.frame(_remarks()).lazy(),
        definitions=DEFINITIONS.frame([{"custom_id": "svc.gown", "data_type": "boolean", "values": [], "reports": 4}]),
        held_back=HELD_BACK.frame(_held_back()),
        sources=(),
    )
    determinations = audit.judge(batch, ruleset(), chosen or settings())
    return Month("2026-01", 1, date(2026, 2, 10), batch, CHECK_RESULTS.frame(_check_results()), determinations)


def _crew(made: list[Call]) -> Iterator[Row]:
    for call in made:
        yield {"report": call.number, "member": NURSE, "roles": ["2403009"], "ppe_recorded": True}
        yield {"report": call.number, "member": DRIVER, "roles": ["2403001"], "ppe_recorded": False}


def _remarks() -> list[Row]:
    return [
        {"report": 1, "element": "eVitals.12", "remark": "not_a_number"},
        {"report": 1, "element": "eProcedures.03", "remark": "performer_not_on_crew_list"},
        {"report": 2, "element": "eVitals.12", "remark": "ownership_unknown"},
        {"report": 2, "element": "eOther.03", "remark": "unknown_code", "code": "4503999"},
    ]


def _held_back() -> list[Row]:
    return [
        {"month": "2026-01", "source": 1, "source_sha256": "0" * 64, "position": 4096, "check": "unreadable",
         "sentence": "The report at byte 4096 ends inside <eVitals>; export it again.", "record_sha256": "1" * 64},
    ]  # fmt: skip


def _check_results() -> list[Row]:
    return [
        {"check": "saturation-beside-oxygen", "family": "completeness", "verdict": "warn", "asked": 5, "failed": 1,
         "sentence": "A report with oxygen has a saturation reading.", "basis": "common practice, no source",
         "failed_reports": [8]},
        {"check": "arrival-after-leaving", "family": "chronology", "verdict": "warn", "asked": 12, "failed": 0,
         "sentence": "Arrival is not before leaving the scene.", "basis": "common practice, no source",
         "failed_reports": []},
    ]  # fmt: skip


def figures_of(*months: Month) -> pl.DataFrame:
    """Return figures counted the long way, for the service and for each recipient."""
    rows: list[Row] = []
    for month in months:
        every = month.determinations.sort("outcome").unique(("report", "rule"), keep="first", maintain_order=True)
        for (rule,), of_rule in every.group_by("rule", maintain_order=True):
            for recipient in (None, *of_rule["recipient"].unique().sort()):
                mine = of_rule if recipient is None else of_rule.filter(pl.col("recipient") == recipient)
                rows.append({"month": month.month, "rule": rule, "recipient": recipient, **_counts(mine)})
    return FIGURES.frame(rows)


def _counts(rows: pl.DataFrame) -> Row:
    outcomes = dict(rows["outcome"].cast(pl.String).value_counts().iter_rows())
    reasons = dict(rows["reason"].cast(pl.String).value_counts().iter_rows())
    apart = reasons.get("not_assessable", 0) + reasons.get("no_edition", 0)
    return {
        "met": outcomes.get("met", 0), "not_met": outcomes.get("not_met", 0),
        "cannot_tell": outcomes.get("cannot_tell", 0) - apart, "not_documented": reasons.get("not_documented", 0),
        "not_assessable": reasons.get("not_assessable", 0), "no_edition": reasons.get("no_edition", 0),
        "excepted": outcomes.get("excepted", 0), "excluded": outcomes.get("excluded", 0), "system": 0,
    }  # fmt: skip
