"""Generated months for benchmarks: many reports with about 48 facts each, in the real tables' forms."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import polars as pl

from qa_audit.tables import FACTS, MEMBERS, REPORTS

START = int(datetime(2026, 1, 1, tzinfo=UTC).timestamp() * 1000)
MINUTE = 60_000
OXYGEN_ROUTES = ["9927025", "9927031", "9927057", "9927065"]
PROCEDURES = ["425447009", "450611000124100", "232674004", "47545007", "56251003", "230040009", "241689008"]
EQUIPMENT = ["4503015", "4503015", "4503015", "4503003", "4503001"]


def month(reports: int, seed: int = 1) -> dict[str, pl.DataFrame]:
    """Return `reports`, `facts` and `members` of one generated month; facts sorted by item, report and time."""
    random = np.random.default_rng(seed)
    notified = START + random.integers(0, 30 * 24 * 60, reports) * MINUTE
    frames = [
        _vitals(random, notified),
        _oxygen(random, notified),
        _procedures(random, notified),
        _equipment(random, reports),
    ]
    frames.append(_background(random, reports))
    facts = pl.concat(frames, how="diagonal").with_columns(
        origin=pl.lit("coded"), status=pl.lit("present"), by_others=pl.lit(value=False)
    )
    for name in FACTS.columns:
        if name not in facts.columns:
            facts = facts.with_columns(pl.lit(None).alias(name))
    facts = facts.sort("item", "report", "time").with_columns(fact=pl.int_range(pl.len(), dtype=pl.UInt32))
    return {
        "reports": _reports(random, notified),
        "facts": FACTS.conform(facts.lazy()).collect(),
        "members": _members(reports),
    }


def _at(milliseconds: np.ndarray) -> pl.Series:
    return pl.Series(milliseconds).cast(pl.Datetime("ms")).dt.replace_time_zone("UTC")


def _vitals(random: np.random.Generator, notified: np.ndarray) -> pl.DataFrame:
    report = np.repeat(np.arange(len(notified)), 5)
    time = notified[report] + (10 + np.tile(np.arange(5) * 7, len(notified))) * MINUTE
    frames = []
    for item, mean, spread in [
        ("eVitals.12", 94, 2),
        ("eVitals.06", 130, 20),
        ("eVitals.10", 90, 15),
        ("eVitals.14", 18, 4),
    ]:
        value = np.minimum(np.round(random.normal(mean, spread, len(report))), 100 if item == "eVitals.12" else 400)
        frames.append(pl.DataFrame({"report": report, "item": item, "time": _at(time), "value": value}))
    return pl.concat(frames)


def _oxygen(random: np.random.Generator, notified: np.ndarray) -> pl.DataFrame:
    report = np.sort(random.choice(len(notified), int(len(notified) * 0.5)))
    time = notified[report] + random.integers(8, 40, len(report)) * MINUTE
    group = np.arange(len(report)) % 60_000
    flow = random.integers(1, 16, len(report)).astype(float)
    route = random.choice(OXYGEN_ROUTES, len(report))
    drug = pl.DataFrame(
        {"report": report, "item": "eMedications.03=7806", "time": _at(time), "value": flow, "call_group": group}
    )
    ways = pl.DataFrame(
        {
            "report": report,
            "item": [f"eMedications.04={code}" for code in route],
            "time": _at(time),
            "call_group": group,
        }
    )
    return pl.concat([drug.with_columns(unit=pl.lit("L/min")), ways], how="diagonal")


def _procedures(random: np.random.Generator, notified: np.ndarray) -> pl.DataFrame:
    report = np.sort(random.choice(len(notified), int(len(notified) * 0.4)))
    time = notified[report] + random.integers(8, 40, len(report)) * MINUTE
    code = random.choice(PROCEDURES, len(report))
    return pl.DataFrame(
        {
            "report": report,
            "item": [f"eProcedures.03={one}" for one in code],
            "time": _at(time),
            "count": random.choice([1] * 19 + [2], len(report)),
            "success": random.random(len(report)) < 0.8,
            "call_group": np.arange(len(report)) % 60_000,
        }
    )


def _equipment(random: np.random.Generator, reports: int) -> pl.DataFrame:
    report = np.repeat(np.arange(reports), 6)
    member = np.tile(["P-A", "P-A", "P-A", "P-B", "P-B", "P-B"], reports)
    items = [f"eOther.03={code}" for code in random.choice(EQUIPMENT, len(report))]
    return pl.DataFrame(
        {"report": report, "item": items, "member": member, "call_group": np.tile([1, 1, 1, 2, 2, 2], reports)}
    )


def _background(random: np.random.Generator, reports: int) -> pl.DataFrame:
    report = np.repeat(np.arange(reports), 18)
    items = [f"eSituation.11=R{number:02d}" for number in random.integers(0, 90, len(report))]
    return pl.DataFrame({"report": report, "item": items})


def _reports(random: np.random.Generator, notified: np.ndarray) -> pl.DataFrame:
    count = len(notified)
    frame = pl.DataFrame(
        {
            "report": np.arange(count),
            "report_id": [f"R-{number:010d}" for number in range(count)],
            "recipient": random.choice(["U-A", "U-B", "U-C"], count),
            "month": "2026-01",
            "offset_minutes": 0,
            "unit_notified": _at(notified),
            "at_patient": _at(notified + 8 * MINUTE),
            "left_scene": _at(notified + 25 * MINUTE),
            "at_destination": _at(notified + 45 * MINUTE),
            "age_years": random.integers(20, 90, count).astype(float),
            "transported": random.random(count) < 0.9,
            "subset": "full",
            "standard_version": "3.5.1",
            "source": 0,
        }
    )
    missing = [pl.lit(None).alias(name) for name in REPORTS.columns if name not in frame.columns]
    return REPORTS.conform(
        frame.with_columns(missing).with_columns(local_date=pl.col("unit_notified").dt.date()).lazy()
    ).collect()


def _members(reports: int) -> pl.DataFrame:
    report = np.repeat(np.arange(reports), 2)
    frame = pl.DataFrame({"report": report, "member": np.tile(["P-A", "P-B"], reports), "ppe_recorded": True})
    roles = pl.Series("roles", [["2403011"], ["2403003"]] * reports, dtype=pl.List(pl.String))
    return MEMBERS.conform(frame.with_columns(roles, level=pl.lit(None), exposure=pl.lit(None)).lazy()).collect()
