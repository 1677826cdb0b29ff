from __future__ import annotations

import polars as pl
from gate.building import CONCEPTS, Report, batch, fact, oxygen, report, saturation

from qa_audit.gate import admit
from qa_audit.settings import Settings
from qa_audit.tables import Batch


def gate(*reports: Report) -> Batch:
    return admit(batch(*reports), Settings(), concepts=CONCEPTS).batch


def test_an_impossible_saturation_becomes_a_missing_reading_and_a_remark() -> None:
    stripped = gate(report(saturation(97), saturation(970, 25)))

    rows = stripped.facts.select("value", pl.col("status").cast(pl.String), "why").collect().rows()
    assert rows == [(97.0, "present", None), (None, "missing", "impossible_value")]
    assert stripped.remarks.collect().rows() == [(1, "eVitals.12", "impossible_value", None)]


def test_a_negative_flow_leaves_the_oxygen_given_and_its_flow_unknown() -> None:
    stripped = gate(report(*oxygen(-2)))

    drug = stripped.facts.filter(pl.col("item") == "eMedications.03=oxygen").collect().row(0, named=True)
    assert (drug["value"], drug["unit"], drug["status"]) == (None, "L/min", "present")
    assert stripped.remarks.collect().rows() == [(1, "eMedications.03", "impossible_value", "oxygen")]


def test_possible_values_are_left_as_they_are() -> None:
    one = report(saturation(0), saturation(100, 21), *oxygen(0), fact("eVitals.06", value=-5))
    before = batch(one)

    after = admit(before, Settings(), concepts=CONCEPTS).batch
    assert after.facts.collect().equals(before.facts.collect())
    assert after.remarks.collect().is_empty()


def test_a_tube_code_that_the_ruleset_does_not_know_is_listed_by_its_code() -> None:
    tied = (fact("eProcedures.03=throat", call_group=4), fact("eAirway.03=tube", 22, call_group=4))
    stripped = gate(report(*tied))

    assert stripped.remarks.collect().rows() == [(1, "eProcedures.03", "unknown_tube_code", "throat")]
