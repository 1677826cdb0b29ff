"""The second half of a report: vital signs, protocols, medications, procedures, airway, disposition."""

from __future__ import annotations

from qa_audit.demo.case import Case, Medication, Procedure, Reading
from qa_audit.demo.vocabulary import NO, YES, Empty, Negative
from qa_audit.demo.xml_elements import Section

NOT_APPLICABLE = Empty.NOT_APPLICABLE
RXNORM = "9924003"
UNCHANGED, IMPROVED = "9916003", "9916001"
NO_MEDICATION_COMPLICATION, NO_PROCEDURE_COMPLICATION = "3708031", "3907033"
GROUND_AMBULANCE, WITHOUT_HURRY = "4216005", "4217005"
LIFE_SUPPORT_BY_PARAMEDIC, NO_CARE = "4232005", "4232013"
CARE_PROVIDED = "4228001"


def write_care(report: Section, case: Case, *, has_technique: bool) -> None:
    """Write the sections from eVitals to eDisposition; `has_technique` is false before 3.5.1."""
    _write_readings(report.group("eVitals"), case)
    protocols = report.group("eProtocols").group("eProtocols.ProtocolGroup")
    protocols.put("eProtocols.01", case.complaint.protocol)
    medications = report.group("eMedications")
    for medication in case.medications:
        _write_medication(medications, medication)
    if not case.medications:
        _write_no_medication(medications)
    procedures = report.group("eProcedures")
    for procedure in case.procedures:
        _write_procedure(procedures, procedure, has_technique=has_technique)
    if not case.procedures:
        _write_no_procedure(procedures)
    _write_airway(report, case)
    _write_disposition(report, case)


def _write_readings(section: Section, case: Case) -> None:
    for reading in case.readings:
        _write_reading(section.group("eVitals.VitalGroup"), reading, None)
    if not case.readings:
        _write_reading(section.group("eVitals.VitalGroup"), Reading(at=None), NOT_APPLICABLE)


def _write_reading(group: Section, reading: Reading, otherwise: Empty | None) -> None:
    """Write one set; `otherwise` is what an element without a value holds (null: not recorded)."""
    group.put("eVitals.01", reading.at or otherwise)
    group.put("eVitals.02", otherwise or NO)
    rhythm = group.group("eVitals.CardiacRhythmGroup")
    rhythm.empty("eVitals.03", "eVitals.04", "eVitals.05", why=otherwise or Empty.NOT_RECORDED)
    pressure = group.group("eVitals.BloodPressureGroup")
    pressure.put("eVitals.06", _or(reading.systolic, otherwise))
    pressure.put_if("eVitals.07", reading.diastolic)
    group.group("eVitals.HeartRateGroup").put("eVitals.10", _or(reading.heart_rate, otherwise))
    group.put("eVitals.12", _or(reading.saturation, otherwise))
    group.put("eVitals.14", _or(reading.breaths, otherwise))
    group.put_if("eVitals.15", reading.effort)
    value, kind = reading.end_tidal or (otherwise, None)
    group.put("eVitals.16", value, ETCO2Type=kind)
    group.put_if("eVitals.17", reading.carbon_monoxide)
    group.put("eVitals.18", otherwise)
    coma = group.group("eVitals.GlasgowScoreGroup")
    eyes, verbal, motor = reading.coma_scale or (otherwise,) * 3
    coma.put("eVitals.19", eyes)
    coma.put("eVitals.20", verbal)
    coma.put("eVitals.21", motor)
    coma.put("eVitals.22", otherwise)
    group.put("eVitals.26", reading.alertness or otherwise)
    group.group("eVitals.PainScaleGroup").put("eVitals.27", otherwise)
    stroke = group.group("eVitals.StrokeScaleGroup")
    stroke.put("eVitals.29", otherwise)
    stroke.put("eVitals.30", otherwise)
    group.put("eVitals.31", otherwise)


def _or(value: int | Negative | None, otherwise: Empty | None) -> int | Negative | Empty | None:
    return otherwise if value is None else value


def _write_medication(section: Section, medication: Medication) -> None:
    group = section.group("eMedications.MedicationGroup", CorrelationID=medication.tie)
    group.put("eMedications.01", medication.at)
    group.put("eMedications.02", YES if medication.before_arrival else NO)
    group.put("eMedications.03", medication.drug, CodeType=RXNORM)
    group.put("eMedications.04", medication.route)
    dose = group.group("eMedications.DosageGroup")
    dose.put("eMedications.05", medication.dose)
    dose.put("eMedications.06", medication.unit)
    group.put("eMedications.07", IMPROVED)
    group.put("eMedications.08", NO_MEDICATION_COMPLICATION)
    if medication.by is not None:
        group.put("eMedications.09", medication.by.id)
    group.put("eMedications.10", medication.by.level.as_performer if medication.by else None)


def _write_no_medication(section: Section) -> None:
    group = section.group("eMedications.MedicationGroup")
    group.empty(*(f"eMedications.{place:02}" for place in range(1, 5)), why=NOT_APPLICABLE)
    group.group("eMedications.DosageGroup").empty("eMedications.05", "eMedications.06", why=NOT_APPLICABLE)
    group.empty("eMedications.07", "eMedications.08", "eMedications.10", why=NOT_APPLICABLE)


def _write_procedure(section: Section, procedure: Procedure, *, has_technique: bool) -> None:
    done = procedure.negative is None
    group = section.group("eProcedures.ProcedureGroup", CorrelationID=procedure.tie)
    group.put("eProcedures.01", procedure.at)
    group.put("eProcedures.02", NO)
    group.put("eProcedures.03", procedure.code, PN=procedure.negative)
    success = None if procedure.success is None else YES if procedure.success else NO
    group.put("eProcedures.05", procedure.attempts if done else NOT_APPLICABLE)
    group.put("eProcedures.06", success if done else NOT_APPLICABLE)
    group.put("eProcedures.07", NO_PROCEDURE_COMPLICATION if done else NOT_APPLICABLE)
    group.put("eProcedures.08", UNCHANGED if done else NOT_APPLICABLE)
    group.put("eProcedures.09", procedure.by.id)
    group.put("eProcedures.10", procedure.by.level.as_performer)
    if has_technique:
        group.put_if("eProcedures.14", procedure.technique)


def _write_no_procedure(section: Section) -> None:
    group = section.group("eProcedures.ProcedureGroup")
    places = (1, 2, 3, 5, 6, 7, 8, 10)
    group.empty(*(f"eProcedures.{place:02}" for place in places), why=NOT_APPLICABLE)


def _write_airway(report: Section, case: Case) -> None:
    if not case.confirmations and not case.airway_complications:
        return
    group = report.group("eAirway").group("eAirway.AirwayGroup")
    for confirmation in case.confirmations:
        confirmed = group.group("eAirway.ConfirmationGroup", ProcedureGroupCorrelationID=confirmation.of)
        confirmed.put("eAirway.02", confirmation.at)
        confirmed.put("eAirway.03", confirmation.device)
        confirmed.put("eAirway.04", confirmation.method)
        confirmed.put("eAirway.07", confirmation.by.id)
    for complication in case.airway_complications:
        group.put("eAirway.08", complication)


def _write_disposition(report: Section, case: Case) -> None:
    ending, section = case.disposition, report.group("eDisposition")
    moved = case.milestones.left_scene is not None
    destination = section.group("eDisposition.DestinationGroup")
    destination.empty("eDisposition.05", "eDisposition.06", "eDisposition.07")
    incident = section.group("eDisposition.IncidentDispositionGroup")
    incident.put("eDisposition.27", ending.unit)
    incident.put("eDisposition.28", ending.care or NOT_APPLICABLE)
    incident.put("eDisposition.29", ending.crew or NOT_APPLICABLE)
    incident.put("eDisposition.30", ending.transport or NOT_APPLICABLE)
    incident.put_if("eDisposition.31", ending.refused_because)
    section.put("eDisposition.16", GROUND_AMBULANCE if moved else NOT_APPLICABLE)
    section.put("eDisposition.17", WITHOUT_HURRY if moved else NOT_APPLICABLE)
    section.empty("eDisposition.18", "eDisposition.19", "eDisposition.20")
    section.put("eDisposition.21", ending.destination if moved and ending.destination else NOT_APPLICABLE)
    section.empty("eDisposition.22", "eDisposition.23")
    section.group("eDisposition.HospitalTeamActivationGroup").empty("eDisposition.24", "eDisposition.25")
    section.put("eDisposition.32", LIFE_SUPPORT_BY_PARAMEDIC if ending.care == CARE_PROVIDED else NO_CARE)
