"""The oracle on oxygen: the worked list to the number, then the table row by row."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from oracle.charts import INFECTION, ask, chart, custom, moment, oxygen, procedure, said, spo2
from oracle.first_edition import OXYGEN
from oracle.model import Fact

FULL = oxygen("10:00", 15, "mask")


def judged(*facts: Any, **more: Any) -> tuple[Any, ...]:
    return said(chart(INFECTION, *facts, **more), OXYGEN)


@pytest.mark.parametrize(
    ("readings", "expected"),
    [
        ([("10:10", 99), ("10:25", 99)], ("not_met", None, 20.0)),
        ([("10:10", 97), ("10:25", 97)], ("met", None, 20.0)),
        ([("10:06", 97), ("10:12", 97), ("10:17", 97)], ("not_met", None, 24.0)),
        ([("10:32", 99), ("10:36", 99)], ("cannot_tell", "therapy_end_unknown", 0.0)),
        ([("10:10", 99), ("10:32", 99)], ("cannot_tell", "therapy_end_unknown", 15.0)),
    ],
)
def test_worked_readings_on_a_steady_flow(readings: list[tuple[str, int]], expected: tuple[Any, ...]) -> None:
    assert judged(FULL, *(spo2(*one) for one in readings)) == expected


def test_worked_reduction_within_five_minutes_answers() -> None:
    facts = [oxygen("10:14", 6, "mask"), spo2("10:10", 99), spo2("10:16", 98), spo2("10:20", 95)]
    assert judged(FULL, *facts) == ("met", None, 0.0)


@pytest.mark.parametrize(
    ("value", "expected"), [(99, ("excluded", "too_short_to_judge", None)), (95, ("met", None, None))]
)
def test_worked_eight_minute_therapy(value: int, expected: tuple[Any, ...]) -> None:
    assert judged(FULL, spo2("10:03", value), at_destination=moment("10:08")) == expected


@pytest.mark.parametrize(
    ("cohort", "age", "expected"),
    [
        ("eSituation.11=T58.01", 60, ("excluded", "carbon_monoxide", None)),
        ("eHistory.08=T70.3", 60, ("excluded", "decompression", None)),
        ("eSituation.11=R06.02", 28 / 365.25, ("excluded", "newborn", None)),
        ("eSituation.11=R06.02", 29 / 365.25, ("met", None, 0.0)),
        ("eHistory.08=J44.9", 60, ("not_met", None, 20.0)),
        ("eSituation.12=J96.9", 60, ("met", None, 0.0)),
    ],
)
def test_the_first_matching_band_decides(cohort: str, age: float, expected: tuple[Any, ...]) -> None:
    report = chart(Fact(0, 1, cohort), FULL, spo2("10:10", 95), spo2("10:25", 95), age_years=age)
    assert said(report, OXYGEN) == expected


def test_a_negated_symptom_makes_no_cohort() -> None:
    report = chart(Fact(0, 1, "eSituation.10=T58.01", status="negated"), FULL, spo2("10:10", 95), spo2("10:25", 95))
    assert said(report, OXYGEN) == ("met", None, 0.0)


@pytest.mark.parametrize("why", ["finding_not_present", "refused", "unable"])
def test_row_1_readings_that_could_not_be_had(why: str) -> None:
    assert judged(FULL, spo2("10:10", None, why=why)) == ("excluded", "reading_unobtainable", None)


def test_row_1_an_entry_left_blank_is_no_reason() -> None:
    facts = [spo2("10:10", None, why="unable"), spo2("10:20", None, why="not_recorded")]
    assert judged(FULL, *facts) == ("cannot_tell", "not_documented", None)


@pytest.mark.parametrize(
    ("arrival", "expected"),
    [
        ("10:09", ("excluded", "too_short_to_judge", None)),
        ("10:10", ("cannot_tell", "not_documented", None)),
    ],
)
def test_rows_2_and_3_no_reading(arrival: str, expected: tuple[Any, ...]) -> None:
    assert judged(FULL, at_destination=moment(arrival)) == expected


@pytest.mark.parametrize(
    ("readings", "arrival", "expected"),
    [
        (["10:10", "10:12"], "10:40", ("met", None, 0.0)),
        (["10:10"], "10:20", ("met", None, 0.0)),
        (["10:10"], "10:20:30", ("cannot_tell", "too_few_readings", 0.0)),
    ],
)
def test_rows_4_and_5_nothing_above(readings: list[str], arrival: str, expected: tuple[Any, ...]) -> None:
    assert judged(FULL, *(spo2(one, 96) for one in readings), at_destination=moment(arrival)) == expected


def test_row_6_a_long_therapy_under_exempt_windows() -> None:
    bag = procedure("425447009", "10:02")
    assert judged(FULL, bag, spo2("10:10", 99), spo2("10:25", 99)) == ("excluded", "exempt", None)


@pytest.mark.parametrize(
    ("facts", "arrival", "expected"),
    [
        ([spo2("10:10", 97)], "10:20", ("met", None, 10.0)),
        ([spo2("10:10", 98)], "10:20", ("cannot_tell", "too_few_readings", 10.0)),
        ([spo2("10:10", 98), oxygen("10:15", 4, "cannula")], "10:25", ("met", None, 0.0)),
        ([spo2("10:10", 97)], "10:21", ("cannot_tell", "too_few_readings", 11.0)),
        ([spo2("10:04", 99)], "10:12", ("cannot_tell", "too_few_readings", None)),
    ],
)
def test_rows_7_and_8_one_counted_reading(facts: list[Any], arrival: str, expected: tuple[Any, ...]) -> None:
    assert judged(FULL, *facts, at_destination=moment(arrival)) == expected


@pytest.mark.parametrize(
    ("second", "outcome", "amount"),
    [("10:13", "met", 5.0), ("10:13:00.001", "not_met", 5.0), ("10:14", "not_met", 6.0)],
)
def test_rows_9_and_11_five_minutes_are_tolerated(second: str, outcome: str, amount: float) -> None:
    clock, _, thousandth = second.partition(".")
    last = moment(clock) + (1 if thousandth else 0)
    facts = [spo2("10:08", 98), spo2("10:10", 98), replace(spo2(clock, 95), time=last)]
    assert judged(FULL, *facts)[:2] == (outcome, None)
    assert judged(FULL, *facts)[2] == pytest.approx(amount, abs=1e-4)


@pytest.mark.parametrize(("pause", "therapies"), [("10:13", 1), ("10:13:01", 2)])
def test_oxygen_resumed_after_three_minutes_is_the_same_therapy(pause: str, therapies: int) -> None:
    report = chart(FULL, custom("svc.oxygenOff", "10:10"), oxygen(pause, None, "mask"))
    assert len(ask(report, OXYGEN)) == therapies


def test_a_lone_zero_flow_opens_nothing() -> None:
    assert ask(chart(oxygen("10:00", 0, "mask")), OXYGEN) == []


@pytest.mark.parametrize("by_others", [True, None])
def test_oxygen_that_is_not_known_to_be_ours_opens_nothing(by_others: bool | None) -> None:
    assert ask(chart(oxygen("10:00", 15, "mask", by_others=by_others)), OXYGEN) == []


def test_untimed_oxygen_alone_is_one_opportunity() -> None:
    assert judged(oxygen(None, 15, "mask")) == ("cannot_tell", "time_missing", None)


def test_oxygen_present_and_negated_at_once_is_a_conflict() -> None:
    contradicted = [*FULL, replace(FULL[0], status="negated")]
    assert judged(contradicted, spo2("10:10", 99)) == ("cannot_tell", "chart_conflict", None)


def test_a_reading_in_the_minute_of_the_reduction_it_prompted_is_not_judged() -> None:
    facts = [oxygen("10:10", 6, "mask"), spo2("10:10", 99), spo2("10:16", 95), spo2("10:20", 95)]
    assert judged(FULL, *facts) == ("met", None, 0.0)


def test_several_readings_at_one_instant_count_as_the_lowest() -> None:
    assert judged(FULL, spo2("10:10", 99), spo2("10:10", 95), spo2("10:20", 95)) == ("met", None, 0.0)


def test_own_oxygen_after_arrival_runs_to_the_hand_over() -> None:
    late = oxygen("10:44", 15, "mask")
    facts = [spo2("10:41", 99), spo2("10:44", 99)]
    assert judged(oxygen("10:25", 15, "mask"), *facts) == ("cannot_tell", "not_documented", None)
    assert judged(oxygen("10:25", 15, "mask"), late, *facts) == ("not_met", None, 9.0)


@pytest.mark.parametrize(
    ("arrest", "outcome"),
    [
        ([Fact(0, 1, "eArrest.03=3003005")], ("excluded", "exempt", None)),
        ([Fact(0, 1, "eArrest.03=3003005"), Fact(0, 1, "eArrest.14", moment("9:55"))], ("excluded", "exempt", None)),
        ([Fact(0, 1, "eArrest.14", moment("9:55"))], ("excluded", "exempt", None)),
        ([Fact(0, 1, "eArrest.09=3009027")], ("not_met", None, 20.0)),
        (
            [
                Fact(0, 1, "eArrest.03=3003005"),
                Fact(0, 1, "eArrest.19", moment("9:50")),
                Fact(0, 1, "eArrest.15", moment("9:58")),
                Fact(0, 1, "eArrest.12=3012005"),
            ],
            ("not_met", None, 20.0),
        ),
    ],
)
def test_resuscitation_is_exempt_until_ten_minutes_after_circulation(
    arrest: list[Fact], outcome: tuple[Any, ...]
) -> None:
    assert judged(FULL, *arrest, spo2("10:10", 99), spo2("10:25", 99)) == outcome


def test_a_nebulizer_exempts_fifteen_minutes() -> None:
    drug = Fact(0, 1, "eMedications.04=9927071", moment("10:10"), by_others=True)
    facts = [spo2("10:10", 99), spo2("10:24", 99), spo2("10:25", 95), spo2("10:30", 95)]
    assert judged(FULL, drug, *facts) == ("met", None, 0.0)


@pytest.mark.parametrize(("route", "outcome"), [("mask", "not_met"), ("tube", "excluded"), ("nebulizer", "excluded")])
def test_only_another_device_ends_the_cpap_window(route: str, outcome: str) -> None:
    cpap = procedure("47545007", "10:02")
    facts = [oxygen("10:05", 15, route), spo2("10:21", 99), spo2("10:28", 99)]
    assert judged(FULL, cpap, *facts)[0] == outcome


def test_flow_and_device_outlast_a_row_that_gives_neither() -> None:
    facts = [spo2("10:16", 99), oxygen("10:12", None), oxygen("10:20", 11, "inhalation"), spo2("10:26", 95)]
    assert judged(FULL, *facts) == ("met", None, 0.0)


def test_a_reading_thirty_minutes_behind_the_last_entry_is_already_assumed() -> None:
    facts = [spo2("10:24", 98), spo2("10:30", 98), spo2("10:40", 95)]
    late = {"at_destination": moment("10:59")}
    assert judged(FULL, *facts, **late) == ("cannot_tell", "therapy_end_unknown", 6.0)
    facts[1] = spo2("10:29:59", 98)
    assert judged(FULL, *facts, **late)[0] == "not_met"


def test_a_therapy_that_rests_on_a_contradiction_stands_beside_one_that_does_not() -> None:
    first = [*FULL, replace(FULL[0], status="negated")]
    rows = ask(chart(first, custom("svc.oxygenOff", "10:10"), oxygen("10:20", 15, "mask")), OXYGEN)
    assert [(row.time, row.reason) for row in rows] == [
        (moment("10:00"), "chart_conflict"),
        (moment("10:20"), "not_documented"),
    ]


@pytest.mark.parametrize(("flow", "therapies"), [(15, 1), (None, 0)])
def test_at_one_instant_the_greatest_flow_is_in_force_and_a_stop_is_none(flow: float | None, therapies: int) -> None:
    assert len(ask(chart(oxygen("10:00", flow, "mask"), custom("svc.oxygenOff", "10:00")), OXYGEN)) == therapies
