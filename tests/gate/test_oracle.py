"""The gate agrees with a plain-Python oracle on random reports, report by report and check by check."""

from __future__ import annotations

import random
from collections import defaultdict
from typing import Any

import pytest
from gate import oracle
from gate.building import CONCEPTS, Report, at, batch, fact, oxygen, report

from qa_audit.gate import admit
from qa_audit.gate.checks import CHECKS
from qa_audit.gate.checks.remarks import NAMED
from qa_audit.settings import Settings
from qa_audit.tables import DEFINITIONS, Batch

REPORTS = 250
ITEMS = (
    *("eVitals.12", "eVitals.12", "eVitals.16", "eVitals.06", "eMedications.03=oxygen", "eMedications.03=oxygen"),
    *("eMedications.03=other", "eMedications.04=cannula", "eMedications.04=reservoir", "eMedications.04=other"),
    *("eProcedures.03=mask", "eProcedures.03=cannula", "eProcedures.03=tube", "eProcedures.03=throat"),
    *("eProcedures.03=induction", "eProcedures.03=supraglottic", "eAirway.03=tube", "eAirway.08", "eOther.03=gloves"),
    *("custom:svc.known=1", "custom:svc.unknown=1"),
)
MEMBERS = (None, "P-LEAD", "P-SECOND", "P-STRANGER")
DEFINED = DEFINITIONS.frame(
    [{"custom_id": "svc.known", "data_type": "text", "values": []}, {"custom_id": "svc.unknown", "values": []}]
)


def random_fact(luck: random.Random) -> dict[str, object]:
    item = luck.choice(ITEMS)
    return fact(
        item,
        luck.choice([None, -3, -2, 19, 20, 20, 20, 61, 62, 63]),
        value=luck.choice([None, -1.0, 0.0, 4.0, 5.0, 6.0, 9.0, 10.0, 15.0, 49.0, 50.0, 61.0, 97.0, 100.0, 101.0]),
        unit=luck.choice([None, "L/min", "L/min", "mg"]),
        count=luck.choice([None, 1, 2, 5, 6]),
        success=luck.choice([None, True, False]),
        member=luck.choice(MEMBERS),
        status=luck.choice(["present"] * 6 + ["negated", "missing"]),
        why=luck.choice([None, "unable", "not_recorded"]),
        call_group=luck.choice([None, 1, 1, 2, 3]),
        by_others=luck.choice([None, False, False, True]),
        origin="custom" if item.startswith("custom:") else "coded",
    )


def random_report(luck: random.Random) -> Report:
    facts = [random_fact(luck) for _ in range(luck.randrange(9))]
    for group in range(6, 6 + luck.randrange(3)):
        flow, route = (
            luck.choice([None, 0.0, 4.0, 6.0, 6.5, 9.5, 10.0]),
            luck.choice([None, "cannula", "reservoir", "other"]),
        )
        facts += oxygen(flow, route, group)
        if luck.random() < 0.2:
            facts.append(fact("eProcedures.03=mask", call_group=10 + group))
    if luck.random() < 0.2:
        code = luck.choice(["tube", "throat"])
        facts += [fact("eAirway.03=tube", 22, call_group=9), fact(f"eProcedures.03={code}", call_group=9)]
    if luck.random() < 0.3:
        facts += [{**one, "call_group": 4} for one in facts if one["call_group"] == 1]
    milestones = {
        name: luck.choice([None, *([at(minutes + luck.choice([-25, 0, 0, 0, 1]))] * 5)])
        for name, minutes in (
            *(("psap_call", -1), ("unit_notified", 0), ("en_route", 1), ("on_scene", 8), ("at_patient", 10)),
            *(("left_scene", 30), ("at_destination", 45), ("transfer_of_care", 46), ("back_in_service", 60)),
        )
    }
    return report(
        *facts,
        members=tuple(luck.choices(MEMBERS, k=luck.randrange(4))),
        remarks=tuple(luck.sample(["unknown_code", "not_a_number", "something_new"], luck.randrange(3))),
        **{**milestones, "back_in_service": luck.choice([milestones["back_in_service"], at(24 * 60), at(24 * 60 + 1)])},
        offset_minutes=luck.choice([-360, -300, None]),
        ems_unit=luck.choice([None, "U-SEVEN"]),
        age_years=luck.choice([None, 0.0, 60.0, 90.0, 90.5]),
        patient_contact=luck.choice([None, True, False]),
        care_provided=luck.choice([None, True, False]),
        transported=luck.choice([None, True, False]),
        subset=luck.choice(["full", "full", "national"]),
    )


def charts(read: Batch) -> dict[int, oracle.Chart]:
    def by_report(frame: Any) -> dict[int, list[dict[str, Any]]]:
        rows = defaultdict(list)
        for row in frame.collect().iter_rows(named=True):
            rows[row["report"]].append(row)
        return rows

    facts, members, remarks = by_report(read.facts), by_report(read.members), by_report(read.remarks)
    return {
        row["report"]: oracle.Chart(
            row,
            facts[row["report"]],
            members[row["report"]],
            [remark["remark"] for remark in remarks[row["report"]]],
            {"svc.unknown"},
        )
        for row in read.reports.collect().iter_rows(named=True)
    }


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_every_check_agrees_with_the_oracle_on_random_reports(seed: int) -> None:
    luck = random.Random(seed)  # noqa: S311 - the same reports on every run
    read = batch(*(random_report(luck) for _ in range(REPORTS)), definitions=DEFINED)
    table = admit(read, Settings(time_zone=oracle.ZONE), concepts=CONCEPTS).check_results
    rows = {row["check"]: row for row in table.iter_rows(named=True)}

    charted = charts(read)
    for name, check in oracle.CHECKS.items():
        answers = {number: check(chart) for number, chart in charted.items()}
        assert rows[name]["failed_reports"] == [number for number, holds in answers.items() if holds is False], name
        assert rows[name]["asked"] == sum(holds is not None for holds in answers.values()), name
        assert 0 < rows[name]["failed"] < rows[name]["asked"], f"{name} tells nothing apart on these reports"


def test_the_oracle_knows_every_check_but_the_remarks_that_work_alike() -> None:
    alike = {check.name for check in NAMED} - set(oracle.CHECKS)

    assert {check.name for check in CHECKS} == {*oracle.CHECKS, *alike}
