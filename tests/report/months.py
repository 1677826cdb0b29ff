"""Invented months with outcomes drawn from a seed, judged by nobody: for figures and the pages that show them.

For charts that the audit itself judges see charted_month.py.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from random import Random
from typing import Any

import polars as pl

from qa_audit.rules import Ruleset, load
from qa_audit.settings import Agency, PeerReview, Settings
from qa_audit.tables import (
    CHECK_RESULTS,
    DEFINITIONS,
    DETERMINATIONS,
    FACTS,
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
ZONE = "America/Chicago"
VEHICLES = [f"U-{letter * 10}" for letter in "ABCDEF"]
OXYGEN, RESPIRATOR, ATTEMPTS, FILTER = (
    "oxygen-kept-within-target",
    "respirator-for-aerosol-procedures",
    "one-intubation-attempt",
    "viral-filter-on-positive-pressure",
)

Outcome = tuple[str, str | None]
MIXTURES: dict[str, list[tuple[int, Outcome]]] = {
    OXYGEN: [
        (20, ("met", None)), (4, ("not_met", None)), (3, ("cannot_tell", "too_few_readings")),
        (2, ("cannot_tell", "not_documented")), (2, ("excluded", "carbon_monoxide")), (9, ("", None)),
    ],
    RESPIRATOR: [
        (7, ("met", None)), (4, ("not_met", None)), (8, ("cannot_tell", "not_documented")),
        (3, ("cannot_tell", "list_incomplete")), (18, ("", None)),
    ],
    ATTEMPTS: [(5, ("met", None)), (2, ("not_met", None)), (1, ("cannot_tell", "chart_conflict")), (32, ("", None))],
    FILTER: [(9, ("cannot_tell", "not_assessable")), (31, ("", None))],
}  # fmt: skip
"""How often, out of 40, each outcome is drawn; an empty one: the rule asks nothing of the report."""


def ruleset() -> Ruleset:
    return load(RULESETS, None)


def settings(**changes: Any) -> Settings:
    return Settings(
        agency=Agency(name="Ostrel Sound Ambulance"),
        time_zone=ZONE,
        labels={vehicle: f"Unit {number}" for number, vehicle in enumerate(VEHICLES, 1)},
        peer_review=PeerReview(
            statement="Prepared for the invented review committee.", committee="the review committee"
        ),
    ).model_copy(update=changes)


def determination(
    month: str, report: int, rule: str, outcome: str, reason: str | None = None, **columns: Any
) -> dict[str, Any]:
    """Return a row of DETERMINATIONS with a month."""
    return {
        "month": month, "report": report, "report_id": f"R-{month.replace('-', '')}{report:04d}", "rule": rule,
        "recipient": VEHICLES[report % len(VEHICLES)], "edition": "respiratory-precautions@2020-01-01",
        "rule_hash": "1" * 64, "opportunity": "report", "outcome": outcome, "reason": reason, "answerable_by": "crew",
        **columns,
    }  # fmt: skip


def stored(rows: Sequence[dict[str, Any]]) -> pl.LazyFrame:
    """Return rows as the store hands them to measure: DETERMINATIONS and a month."""
    months = pl.DataFrame([{"month": row["month"]} for row in rows], schema={"month": pl.String})
    return pl.concat([months, DETERMINATIONS.frame(list(rows))], how="horizontal").lazy()


def calendar(first: str, how_many: int) -> list[str]:
    """Return consecutive months."""
    start = int(first[:4]) * 12 + int(first[5:]) - 1
    return [f"{place // 12}-{place % 12 + 1:02d}" for place in range(start, start + how_many)]


def invented(months: Sequence[str], reports: int = 40, seed: int = 1) -> list[dict[str, Any]]:
    """Return determinations of months drawn from MIXTURES; the rule for oxygen changes on 17 February 2026."""
    random, rows = Random(seed), []  # noqa: S311 - invented data, no secret
    for month in months:
        for report in range(reports):
            day = 1 + report * 27 // reports
            changed = f"{month}-{day:02d}" >= "2026-02-17"
            for rule, mixture in MIXTURES.items():
                weights, outcomes = zip(*mixture, strict=True)
                outcome, reason = random.choices(outcomes, weights)[0]
                if not outcome:
                    continue
                edition = "respiratory-precautions@2026-02-17" if changed else "respiratory-precautions@2020-01-01"
                version = "2" * 64 if changed and rule == OXYGEN else "1" * 64
                amount = {"amount": 12.0, "amount_unit": "minutes"} if outcome == "not_met" else {}
                rows.append(
                    determination(month, report, rule, outcome, reason, edition=edition, rule_hash=version, **amount)
                )
    return rows


def month_of(rows: Sequence[dict[str, Any]], month: str, reports: int = 40) -> Month:
    """Return one month with its reports, held-back rows and determinations; its charts are empty."""
    year, number = int(month[:4]), int(month[5:])
    charts = [
        _report(month, report, datetime(year, number, 1 + report * 27 // reports, 16, tzinfo=UTC))
        for report in range(reports)
    ]
    batch = Batch(
        reports=REPORTS.frame(charts).lazy(),
        facts=FACTS.empty().lazy(),
        members=MEMBERS.empty().lazy(),
        narratives=NARRATIVES.empty().lazy(),
        records=RECORDS.empty().lazy(),
        remarks=REMARKS.empty().lazy(),
        definitions=DEFINITIONS.empty(),
        held_back=HELD_BACK.frame([
            {"month": month, "source": 1, "source_sha256": "0" * 64, "position": 10, "check": "unreadable",
             "sentence": "The report ends inside <eVitals>; export it again.", "record_sha256": "1" * 64},
        ]),
        sources=(),
    )  # fmt: skip
    own = DETERMINATIONS.frame([row for row in rows if row["month"] == month])
    return Month(month, 1, date(year + number // 12, number % 12 + 1, 10), batch, CHECK_RESULTS.empty(), own)


def _report(month: str, report: int, notified: datetime) -> dict[str, Any]:
    vehicle = VEHICLES[report % len(VEHICLES)]
    return {
        "report": report, "report_id": f"R-{month.replace('-', '')}{report:04d}", "agency": "A-AAAAAAAAAA",
        "ems_unit": vehicle, "recipient": vehicle, "incident": f"I-{report:010d}", "month": month,
        "local_date": notified.date(), "offset_minutes": -360, "time_zone": ZONE, "unit_notified": notified,
        "at_patient": notified + timedelta(minutes=12), "subset": "full", "standard_version": "3.5.1", "source": 1,
        "source_sha256": "0" * 64, "transported": True, "patient_contact": True, "care_provided": True,
    }  # fmt: skip
