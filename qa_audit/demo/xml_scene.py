"""The first half of a report: numbers, vehicle, crew, times, patient, situation, arrest, history, narrative."""

from __future__ import annotations

from qa_audit.demo.case import Arrest, Case
from qa_audit.demo.vocabulary import NO, Empty, Service
from qa_audit.demo.xml_elements import Section

NOT_APPLICABLE = Empty.NOT_APPLICABLE
LIFE_SUPPORT_GROUND = "2207015"
AT_ONCE, NOT_AT_ONCE = "2223001", "2223005"
ONE_PATIENT, NO_PATIENT = "2707005", "2707003"
MEDICAL_SPECIALTY_CARE = "2820015"
NO_ARREST = "3001001"
SOFTWARE = "Ostrel Sound demonstration"


def write_scene(report: Section, agency_number: str, case: Case) -> None:
    """Write the sections from eRecord to eNarrative."""
    number = case.uuid.hex[:8].upper()
    record = report.group("eRecord")
    record.put("eRecord.01", f"OS-{number}")
    software = record.group("eRecord.SoftwareApplicationGroup")
    for element in ("eRecord.02", "eRecord.03", "eRecord.04"):
        software.put(element, SOFTWARE)
    _write_response(report, agency_number, number, case)
    _write_crew(report, case)
    _write_times(report, case)
    _write_patient(report, case)
    _write_situation(report, case)
    _write_arrest(report.group("eArrest"), case.arrest, seen=case.disposition.care is not None)
    history = report.group("eHistory")
    history.empty("eHistory.01")
    for code in case.complaint.history:
        history.put("eHistory.08", code)
    history.empty("eHistory.17")
    if case.narrative:
        report.group("eNarrative").put("eNarrative.01", case.narrative)


def _write_response(report: Section, agency_number: str, number: str, case: Case) -> None:
    response = report.group("eResponse")
    response.group("eResponse.AgencyGroup").put("eResponse.01", agency_number)
    response.put("eResponse.03", f"call-{number}")
    response.put("eResponse.04", f"run-{number}")
    response.group("eResponse.ServiceGroup").put("eResponse.05", case.service)
    response.put("eResponse.07", LIFE_SUPPORT_GROUND)
    response.empty(*(f"eResponse.{place:02}" for place in range(8, 13)))
    response.put("eResponse.13", case.vehicle)
    response.put("eResponse.14", case.vehicle)
    response.put("eResponse.23", NOT_AT_ONCE if case.service is Service.BETWEEN_HOSPITALS else AT_ONCE)
    response.empty("eResponse.24")
    dispatch = report.group("eDispatch")
    dispatch.put("eDispatch.01", case.complaint.dispatch)
    dispatch.empty("eDispatch.02")


def _write_crew(report: Section, case: Case) -> None:
    crew = report.group("eCrew")
    for member in case.crew:
        group = crew.group("eCrew.CrewGroup")
        group.put("eCrew.01", member.id)
        group.put("eCrew.02", member.level.on_crew_list)
        for role in member.roles:
            group.put("eCrew.03", role)


def _write_times(report: Section, case: Case) -> None:
    milestones, times = case.milestones, report.group("eTimes")
    reached = milestones.left_scene is not None
    never = None if reached else NOT_APPLICABLE
    times.put("eTimes.01", milestones.called)
    times.put("eTimes.03", milestones.notified)
    times.put("eTimes.05", milestones.en_route)
    times.put("eTimes.06", milestones.on_scene)
    times.put("eTimes.07", milestones.at_patient)
    times.put("eTimes.09", milestones.left_scene or NOT_APPLICABLE)
    times.put("eTimes.11", milestones.arrived or never)
    times.put("eTimes.12", milestones.handed_over or never)
    times.put("eTimes.13", milestones.back_in_service)


def _write_patient(report: Section, case: Case) -> None:
    seen = case.disposition.unit == "4227001"
    patient = report.group("ePatient")
    patient.empty("ePatient.07", "ePatient.08", "ePatient.09", "ePatient.14")
    age = patient.group("ePatient.AgeGroup")
    age.put("ePatient.15", case.patient.age if seen else NOT_APPLICABLE)
    age.put("ePatient.16", case.patient.age_unit if seen else NOT_APPLICABLE)
    patient.put("ePatient.25", case.patient.sex if seen else NOT_APPLICABLE)
    report.group("ePayment").empty("ePayment.01", "ePayment.50")
    scene = report.group("eScene")
    scene.empty("eScene.01")
    scene.put("eScene.06", ONE_PATIENT if seen else NO_PATIENT)
    scene.put("eScene.07", NO)
    scene.empty("eScene.08", "eScene.09", "eScene.18", "eScene.19", "eScene.21")


def _write_situation(report: Section, case: Case) -> None:
    complaint, seen = case.complaint, case.disposition.care is not None
    absent = NOT_APPLICABLE
    situation = report.group("eSituation")
    situation.empty("eSituation.01", "eSituation.02", "eSituation.07")
    situation.put("eSituation.08", complaint.organ_system if seen else absent)
    situation.put("eSituation.09", complaint.symptom if seen else absent)
    situation.empty("eSituation.10")
    situation.put("eSituation.11", complaint.impression if seen else absent)
    for impression in complaint.also if seen and complaint.also else (absent,):
        situation.put("eSituation.12", impression)
    situation.put("eSituation.13", complaint.acuity if seen else absent)
    situation.empty("eSituation.18")
    transfer = case.service is Service.BETWEEN_HOSPITALS
    situation.put("eSituation.20", MEDICAL_SPECIALTY_CARE if transfer else absent)
    injury = report.group("eInjury")
    injury.empty("eInjury.01", "eInjury.03", "eInjury.04", why=NOT_APPLICABLE)


def _write_arrest(section: Section, arrest: Arrest | None, *, seen: bool) -> None:
    if arrest is None:
        section.put("eArrest.01", NO_ARREST if seen else NOT_APPLICABLE)
        places = (2, 3, 4, 7, 9, 11, 12, 14, 16, 17, 18, 20, 21, 22)
        section.empty(*(f"eArrest.{place:02}" for place in places), why=NOT_APPLICABLE)
        return
    section.put("eArrest.01", arrest.when)
    section.empty("eArrest.02")
    for code in arrest.attempted:
        section.put("eArrest.03", code)
    section.empty("eArrest.04", "eArrest.07")
    for code in arrest.methods or (NOT_APPLICABLE,):
        section.put("eArrest.09", code)
    section.put("eArrest.11", arrest.first_rhythm)
    for code in arrest.circulation_returned:
        section.put("eArrest.12", code)
    section.put("eArrest.14", arrest.at)
    section.put_if("eArrest.15", arrest.ended)
    section.put("eArrest.16", arrest.ended_because)
    section.empty("eArrest.17")
    section.put("eArrest.18", arrest.outcome)
    section.empty("eArrest.20", "eArrest.21", "eArrest.22")
