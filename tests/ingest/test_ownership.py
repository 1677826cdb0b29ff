"""Ownership: whose work an entry was, in the order in which the questions are to be asked."""

from __future__ import annotations

import pytest
from ingest.building import CONTACT, NOTIFIED, at, crew, medication, nil, procedure, read_report, tag, vitals

NO, YES = "9923001", "9923003"
PARAMEDIC, FAMILY = "9905007", "9905049"
DRUG, TUBE = "eMedications.03=7806", "eProcedures.03=232674004"
PRIOR_EMPTY = nil("eMedications.02", "7701003")


@pytest.mark.parametrize(
    ("elements", "by_others"),
    [
        ({"_02": NO}, False),
        ({"_02": YES}, True),
        ({"_02": NO, "_13": YES}, True),
        ({"_02": NO, "_10": FAMILY}, True),
        ({"_02": NO, "_10": PARAMEDIC}, False),
        ({"_02": NO, "_09": "OS-9"}, True),
        ({"_02": NO, "_09": " os-1 "}, False),
        ({"_02": PRIOR_EMPTY}, False),
        ({"_02": PRIOR_EMPTY, "_01": at("10:05")}, None),
        ({"_02": PRIOR_EMPTY, "_01": CONTACT}, False),
        ({"_02": PRIOR_EMPTY, "_01": nil("eMedications.01", "7701003")}, None),
        ({"_02": "9923099"}, False),
    ],
)
def test_a_medication_is_by_others_ours_or_unknown(elements: dict[str, object], by_others: bool | None) -> None:
    read = read_report(eCrew=crew("OS-1"), eMedications=medication(**{"_01": at("10:20"), "_03": "7806", **elements}))
    assert read.fact(DRUG)["by_others"] is by_others


def test_every_role_outside_the_services_is_by_others() -> None:
    for role in ("9905021", "9905043", "9905045", "9905047", "9905049", "9905051"):
        read = read_report(eProcedures=procedure(_01=at("10:20"), _02=NO, _03="232674004", _10=role))
        assert read.fact(TUBE)["by_others"] is True


def test_a_procedure_by_another_unit_is_by_others() -> None:
    read = read_report(eProcedures=procedure(_01=at("10:20"), _02=NO, _03="232674004", _15=YES))
    assert read.fact(TUBE)["by_others"] is True


def test_somebody_named_without_any_crew_list_is_taken_for_the_crew() -> None:
    read = read_report(eProcedures=procedure(_01=at("10:20"), _02=NO, _03="232674004", _09="OS-9"))
    assert read.fact(TUBE)["by_others"] is False


def test_a_crew_list_without_any_id_is_none() -> None:
    empty = crew(nil("eCrew.01", "7701003"), "2403011")
    read = read_report(eCrew=empty, eProcedures=procedure(_01=at("10:20"), _02=NO, _03="232674004", _09="OS-9"))
    assert read.fact(TUBE)["by_others"] is False


def test_what_the_performer_test_alone_decides_is_remarked() -> None:
    alone = read_report(eCrew=crew("OS-1"), eProcedures=procedure(_01=at("10:20"), _02=NO, _03="232674004", _09="OS-9"))
    assert ("eProcedures.09", "performer_not_on_crew_list", None) in alone.noticed()
    said = read_report(eCrew=crew("OS-1"), eProcedures=procedure(_01=at("10:20"), _02=YES, _03="232674004", _09="OS-9"))
    assert "performer_not_on_crew_list" not in {remark for _, remark, _ in said.noticed()}


def test_vitals_are_asked_by_their_own_question_alone_and_unknown_is_remarked() -> None:
    unknown = read_report(eVitals=vitals(_01=at("10:05"), _12=97))
    assert unknown.fact("eVitals.12")["by_others"] is None
    assert ("eVitals.02", "ownership_unknown", None) in unknown.noticed()
    assert read_report(eVitals=vitals(_01=at("10:20"), _12=97)).fact("eVitals.12")["by_others"] is False


def test_nothing_is_known_when_contact_has_no_time() -> None:
    read = read_report(eTimes=tag("eTimes.03", NOTIFIED), eVitals=vitals(_01=at("10:20"), _12=97))
    assert read.fact("eVitals.12")["by_others"] is None


def test_a_group_in_which_nothing_is_charted_leaves_no_remark() -> None:
    empty = vitals(_01=nil("eVitals.01", "7701001"), _02=nil("eVitals.02", "7701001"), _12=nil("eVitals.12", "7701001"))
    assert read_report(eVitals=empty).noticed() == set()
