"""Facts: what one element of a report becomes."""

from __future__ import annotations

from datetime import UTC, datetime

import polars as pl
import pytest
from ingest.building import (
    at,
    equipment,
    group,
    medication,
    nil,
    procedure,
    read_report,
    tag,
    vitals,
)

NO, YES = "9923001", "9923003"
OXYGEN, CANNULA, LITRES_PER_MINUTE = "7806", "9927025", "3706035"


def test_a_reading_is_an_item_with_value_unit_and_the_time_of_its_group() -> None:
    read = read_report(eVitals=vitals(_01=at("10:20"), _02=NO, _12=97))
    fact = read.fact("eVitals.12")
    assert (fact["value"], fact["unit"], fact["status"]) == (97.0, "%", "present")
    assert fact["time"] == datetime(2026, 1, 10, 16, 20, tzinfo=UTC)
    assert (fact["origin"], fact["by_others"], fact["until"]) == ("coded", False, None)


@pytest.mark.parametrize("written", [" 97 ", "097", "+97"])
def test_a_whole_number_may_be_padded_and_signed(written: str) -> None:  # NEMSIS v3.5.1: these are xs:integer
    assert read_report(eVitals=vitals(_12=written)).fact("eVitals.12")["value"] == 97.0


def test_nought_is_a_reading_and_not_an_empty_element() -> None:
    assert read_report(eVitals=vitals(_12=0)).fact("eVitals.12")["value"] == 0.0


@pytest.mark.parametrize("written", ["97 %", "ninety", "1e2", "nan", "9,7"])
def test_what_is_no_number_is_stripped_listed_and_kept_as_an_unreadable_entry(written: str) -> None:
    read = read_report(eVitals=vitals(_12=written))
    fact = read.fact("eVitals.12")
    assert (fact["value"], fact["status"], fact["why"]) == (None, "missing", "unknown_code")
    assert ("eVitals.12", "not_a_number", None) in read.noticed()


def test_a_palpated_blood_pressure_has_no_diastolic_number_and_is_no_fault() -> None:
    read = read_report(eVitals=vitals(_06=110, _07="P"))
    assert (read.fact("eVitals.07")["value"], read.fact("eVitals.07")["status"]) == (None, "present")
    assert not {remark for _, remark, _ in read.noticed()} & {"not_a_number"}


@pytest.mark.parametrize(
    ("kind", "written", "expected"), [("3340001", 37, 37.0), ("3340003", 4.9, 37.24), ("3340005", 5, 37.503)]
)
def test_carbon_dioxide_is_millimetres_of_mercury_whatever_its_unit(kind: str, written: float, expected: float) -> None:
    read = read_report(eVitals=vitals(_16=tag("eVitals.16", written, f'ETCO2Type="{kind}"')))
    fact = read.fact("eVitals.16")
    assert (fact["value"], fact["unit"]) == (expected, "mmHg")  # percent of 760 mmHg; 1 kPa = 7.5006 mmHg


def test_carbon_dioxide_without_a_unit_keeps_its_number_and_is_remarked() -> None:
    read = read_report(eVitals=vitals(_16=37))
    assert (read.fact("eVitals.16")["value"], read.fact("eVitals.16")["unit"]) == (37.0, None)
    assert ("eVitals.16", "unit_missing", None) in read.noticed()


def test_coma_scores_are_numbers_and_their_codes_are_checked() -> None:
    read = read_report(eVitals=vitals(_19=4, _20=5, _21=6, _23=15))
    assert [read.fact(f"eVitals.{number}")["value"] for number in (19, 20, 21, 23)] == [4.0, 5.0, 6.0, 15.0]
    assert read_report(eVitals=vitals(_19=5)).fact("eVitals.19")["why"] == "unknown_code"


def test_oxygen_is_a_drug_with_flow_and_a_route_in_one_group() -> None:
    dose = group("eMedications", "DosageGroup", {"05": "15", "06": LITRES_PER_MINUTE})
    read = read_report(eMedications=medication(_01=at("10:12"), _02=NO, _03=OXYGEN, _04=CANNULA, dose=dose))
    drug, route = read.fact("eMedications.03=7806"), read.fact("eMedications.04=9927025")
    assert (drug["value"], drug["unit"], route["value"]) == (15.0, "L/min", None)
    assert drug["call_group"] == route["call_group"] is not None
    assert drug["time"] == route["time"]


def test_a_dose_without_unit_has_none_and_an_unknown_unit_stays_one() -> None:
    no_unit = read_report(eMedications=medication(_03=OXYGEN, _05="6", _06=nil("eMedications.06", "7701003")))
    assert no_unit.fact("eMedications.03=7806")["unit"] is None
    old_unit = read_report(eMedications=medication(_03=OXYGEN, _05="6", _06="3706011"))
    assert old_unit.fact("eMedications.03=7806")["unit"] == "3706011"
    assert ("eMedications.06", "unknown_code", "3706011") in old_unit.noticed()


def test_a_procedure_carries_attempts_success_performer_and_role() -> None:
    read = read_report(
        eProcedures=procedure(
            _01=at("10:20"), _02=NO, _03="232674004", _05=2, _06=YES, _09="OS-1", _10="9905007", _14="3914011"
        )
    )
    fact = read.fact("eProcedures.03=232674004")
    assert (fact["count"], fact["success"], fact["role"]) == (2, True, "9905007")
    assert fact["member"].startswith("P-")
    assert read.fact("eProcedures.14=3914011")["count"] is None


@pytest.mark.parametrize("attempts", ["0", "11", "many"])
def test_attempts_outside_one_to_ten_are_stripped(attempts: str) -> None:  # NEMSIS v3.5.1: eProcedures.05 is 1 to 10
    read = read_report(eProcedures=procedure(_03="232674004", _05=attempts))
    assert read.fact("eProcedures.03=232674004")["count"] is None
    assert ("eProcedures.05", "not_a_number", None) in read.noticed()


def test_a_drug_that_was_considered_and_not_given_is_negated_with_everything_beside_it() -> None:
    drug = tag("eMedications.03", OXYGEN, 'CodeType="9924003" PN="8801019"')
    read = read_report(
        eMedications=medication(_01=at("10:12"), _02=NO, drug=drug, _04=CANNULA, _05="15", _06=LITRES_PER_MINUTE)
    )
    for item in ("eMedications.03=7806", "eMedications.04=9927025"):
        assert (read.fact(item)["status"], read.fact(item)["why"]) == ("negated", "refused")


def test_a_procedure_with_a_pertinent_negative_and_no_code_takes_its_group_along() -> None:
    read = read_report(eProcedures=procedure(_03=nil("eProcedures.03", "8801023", "PN"), _14="3914011"))
    assert (read.fact("eProcedures.03")["status"], read.fact("eProcedures.03")["why"]) == ("missing", "unable")
    assert read.fact("eProcedures.14=3914011")["status"] == "negated"


def test_a_symptom_that_is_absent_is_negated_alone() -> None:
    read = read_report(eSituation=tag("eSituation.09", "R06.02") + tag("eSituation.10", "R05", 'PN="8801031"'))
    assert read.fact("eSituation.09=R06.02")["status"] == "present"
    assert (read.fact("eSituation.10=R05")["status"], read.fact("eSituation.10=R05")["why"]) == (
        "negated",
        "symptom_absent",
    )


@pytest.mark.parametrize(
    ("kind", "code", "why"),
    [
        ("NV", "7701001", "not_applicable"),
        ("NV", "7701003", "not_recorded"),
        ("NV", "7701005", "not_reporting"),
        ("PN", "8801005", "finding_not_present"),
        ("PN", "8801019", "refused"),
        ("PN", "8801023", "unable"),
    ],
)
def test_an_empty_element_says_why(kind: str, code: str, why: str) -> None:
    fact = read_report(eVitals=vitals(_01=at("10:20"), _12=nil("eVitals.12", code, kind))).fact("eVitals.12")
    assert (fact["status"], fact["why"], fact["value"]) == ("missing", why, None)
    assert fact["time"] == datetime(2026, 1, 10, 16, 20, tzinfo=UTC)


def test_an_absent_element_is_no_fact_at_all() -> None:
    assert read_report(eVitals=vitals(_01=at("10:20"))).count("eVitals.12") == 0


@pytest.mark.parametrize("nil_word", ["true", "1"])
def test_the_text_of_a_nil_element_is_ignored_and_remarked(nil_word: str) -> None:
    read = read_report(eVitals=vitals(_12=tag("eVitals.12", 99, f'xsi:nil="{nil_word}" NV="7701003"')))
    assert (read.fact("eVitals.12")["status"], read.fact("eVitals.12")["value"]) == ("missing", None)
    assert ("eVitals.12", "value_beside_nil", None) in read.noticed()


def test_a_value_beside_an_nv_code_is_kept_and_remarked() -> None:
    read = read_report(eVitals=vitals(_12=tag("eVitals.12", 93, 'NV="7701003"')))
    assert (read.fact("eVitals.12")["status"], read.fact("eVitals.12")["value"]) == ("present", 93.0)
    assert ("eVitals.12", "value_beside_nil", None) in read.noticed()


def test_a_reading_beside_a_pertinent_negative_accuses_nobody() -> None:
    read = read_report(eVitals=vitals(_12=tag("eVitals.12", 99, 'PN="8801019"')))
    assert (read.fact("eVitals.12")["status"], read.fact("eVitals.12")["why"]) == ("missing", "refused")
    assert ("eVitals.12", "value_beside_nil", None) in read.noticed()


def test_an_approximate_time_is_a_time() -> None:
    read = read_report(eArrest=tag("eArrest.14", at("09:50"), 'PN="8801029"'))
    fact = read.fact("eArrest.14")
    assert (fact["time"], fact["status"], fact["why"]) == (
        datetime(2026, 1, 10, 15, 50, tzinfo=UTC),
        "present",
        "approximate",
    )


def test_arrest_entries_are_this_crews_and_stand_alone() -> None:
    read = read_report(
        eArrest=tag("eArrest.01", "3001005") + tag("eArrest.09", "3009013") + tag("eArrest.09", "3009025")
    )
    fact = read.fact("eArrest.09=3009013")
    assert (fact["time"], fact["call_group"], fact["by_others"]) == (None, None, False)
    assert read.count("eArrest.09=3009025") == 1


def test_an_unknown_code_is_stripped_listed_and_leaves_an_unreadable_entry() -> None:
    read = read_report(eOther=equipment(_03=["4503015", "4503099"], _04="OS-1"))
    assert (read.fact("eOther.03")["status"], read.fact("eOther.03")["why"]) == ("missing", "unknown_code")
    assert ("eOther.03", "unknown_code", "4503099") in read.noticed()
    assert read.fact("eOther.03=4503015")["status"] == "present"


def test_a_code_that_is_not_code_shaped_is_never_repeated() -> None:
    read = read_report(eVitals=vitals(_15="Pat Invented"))
    assert ("eVitals.15", "unknown_code", None) in read.noticed()


def test_open_code_systems_take_any_code_of_their_shape() -> None:
    read = read_report(eProcedures=procedure(_03="900000000000000017"), eMedications=medication(_03="142153"))
    assert read.count("eProcedures.03=900000000000000017") == 1
    assert read.count("eMedications.03=142153") == 1
    assert read_report(eProcedures=procedure(_03="abc")).fact("eProcedures.03")["why"] == "unknown_code"


@pytest.mark.parametrize(("written", "read_as"), [("J44.1", "J44.1"), ("j44.1", "J44.1"), ("T5804XA", "T58.04XA")])
def test_a_diagnosis_is_read_in_one_spelling(written: str, read_as: str) -> None:
    assert read_report(eSituation=tag("eSituation.11", written)).count(f"eSituation.11={read_as}") == 1


@pytest.mark.parametrize(
    ("code", "kind", "contradicts"),
    [("7806", "9924003", False), ("7806", "9924005", True), ("7806", "9924001", True), ("116762002", "9924003", True)],
)
def test_a_drug_code_that_contradicts_its_code_system_is_kept_and_remarked(
    code: str, kind: str, contradicts: bool
) -> None:
    read = read_report(eMedications=medication(_03=tag("eMedications.03", code, f'CodeType="{kind}"')))
    assert read.count(f"eMedications.03={code}") == 1
    assert (("eMedications.03", "code_type_contradicts", code) in read.noticed()) is contradicts


def test_equipment_belongs_to_its_member_and_its_group() -> None:
    read = read_report(eOther=equipment(_03=["4503015", "4503003"], _04="OS-1") + equipment(_03="4503003", _04="OS-2"))
    gloves = read.facts.filter(pl.col("item") == "eOther.03=4503003")
    assert gloves["member"].n_unique() == gloves["call_group"].n_unique() == 2
    assert gloves["time"].null_count() == 2


def test_a_confirmation_takes_the_group_of_the_procedure_it_names_and_its_own_time() -> None:
    confirmed = group(
        "eAirway", "ConfirmationGroup", {"02": at("10:22"), "03": "4003003"}, 'ProcedureGroupCorrelationID="p1"'
    )
    airway = tag("eAirway.AirwayGroup", confirmed + tag("eAirway.08", "4008011"))
    read = read_report(eProcedures=procedure('CorrelationID="p1"', _01=at("10:20"), _03="232674004"), eAirway=airway)
    device, tube = read.fact("eAirway.03=4003003"), read.fact("eProcedures.03=232674004")
    assert device["call_group"] == tube["call_group"]
    assert device["time"] == datetime(2026, 1, 10, 16, 22, tzinfo=UTC)
    assert read.fact("eAirway.08=4008011")["call_group"] != tube["call_group"]


def test_a_confirmation_that_names_nothing_stands_in_a_group_of_its_own() -> None:
    confirmed = group("eAirway", "ConfirmationGroup", {"03": "4003003"}, 'ProcedureGroupCorrelationID="gone"')
    read = read_report(eProcedures=procedure(_03="232674004"), eAirway=tag("eAirway.AirwayGroup", confirmed))
    groups = {read.fact("eAirway.03=4003003")["call_group"], read.fact("eProcedures.03=232674004")["call_group"]}
    assert len(groups) == 2


def test_lung_findings_take_the_time_of_their_assessment() -> None:
    lungs = tag("eExam.LungGroup", tag("eExam.22", "3522001") + tag("eExam.23", "3523025", 'PN="8801005"'))
    read = read_report(eExam=tag("eExam.AssessmentGroup", tag("eExam.03", at("10:15")) + lungs))
    fact = read.fact("eExam.23=3523025")
    assert (fact["status"], fact["time"]) == ("negated", datetime(2026, 1, 10, 16, 15, tzinfo=UTC))


def test_comments_and_character_data_do_not_tear_a_value_apart() -> None:
    read = read_report(
        eVitals=vitals(_12="<eVitals.12>9<!-- inside -->7</eVitals.12>", _14="<eVitals.14><![CDATA[18]]></eVitals.14>")
    )
    assert (read.fact("eVitals.12")["value"], read.fact("eVitals.14")["value"]) == (97.0, 18.0)


def test_facts_are_numbered_in_document_order() -> None:
    read = read_report(eVitals=vitals(_12=97) + vitals(_12=95))
    assert read.facts["fact"].to_list() == list(range(read.facts.height))
    assert read.facts.filter(pl.col("item") == "eVitals.12")["value"].to_list() == [97.0, 95.0]
