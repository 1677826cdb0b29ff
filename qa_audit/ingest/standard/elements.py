"""The elements that are read: what each holds, which group it stands in, and what it says there.

Source: NEMSIS v3.5.1 XSDs. An element that is not named here is never read into a table.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Form = Literal["code", "score", "number", "time", "whole_number", "drug", "procedure", "diagnosis", "text"]
"""How an element's text is understood.

code: one of its closed list; score: such a code that is itself a number; drug: RxNorm or SNOMED; procedure: SNOMED;
diagnosis: ICD-10-CM; text: an id that becomes a pseudonym.
"""


@dataclass(frozen=True)
class Element:
    """One element: its form; `fact` when it becomes a fact; `part` when it says something of its group or report."""

    form: Form
    fact: bool = True
    unit: str | None = None
    part: str | None = None


def _part(form: Form, part: str) -> Element:
    return Element(form, fact=False, part=part)


GROUPS = {
    "eCrew.CrewGroup": ("eCrew.01", "eCrew.02", "eCrew.03"),
    "eVitals.VitalGroup": tuple(
        f"eVitals.{number:02}" for number in (1, 2, 3, 6, 7, 10, 12, 14, 15, 16, 17, 19, 20, 21, 22, 23, 26)
    ),
    "eExam.AssessmentGroup": ("eExam.03", "eExam.22", "eExam.23"),
    "eMedications.MedicationGroup": tuple(f"eMedications.{number:02}" for number in (*range(1, 11), 13)),
    "eProcedures.ProcedureGroup": tuple(f"eProcedures.{number:02}" for number in (1, 2, 3, 5, 6, 7, 8, 9, 10, 14, 15)),
    "eAirway.AirwayGroup": ("eAirway.01", "eAirway.08", "eAirway.09"),
    "eAirway.ConfirmationGroup": ("eAirway.02", "eAirway.03", "eAirway.04", "eAirway.07"),
    "eOther.EMSCrewMemberGroup": ("eOther.03", "eOther.04", "eOther.05", "eOther.06"),
}
"""Groups that repeat or tie, each with its elements; elements of no group stand alone in their report."""

OURS_BY_NATURE = frozenset(GROUPS) - {
    "eVitals.VitalGroup",
    "eMedications.MedicationGroup",
    "eProcedures.ProcedureGroup",
}
"""Groups for which the standard does not ask who did it: they count as this crew's."""

MILESTONES = {
    "eTimes.01": "psap_call",
    "eTimes.03": "unit_notified",
    "eTimes.05": "en_route",
    "eTimes.06": "on_scene",
    "eTimes.07": "at_patient",
    "eTimes.08": "care_transferred",
    "eTimes.09": "left_scene",
    "eTimes.11": "at_destination",
    "eTimes.12": "handed_over",
    "eTimes.13": "back_in_service",
}

ELEMENTS: dict[str, Element] = {
    **{element: _part("time", part) for element, part in MILESTONES.items()},
    "eResponse.03": _part("text", "incident"),
    "eResponse.05": Element("code", part="service_type"),
    "eResponse.07": Element("code"),
    "eResponse.14": _part("text", "ems_unit"),
    "eDispatch.01": Element("code"),
    "eCrew.01": _part("text", "member"),
    "eCrew.02": _part("code", "level"),
    "eCrew.03": _part("code", "crew_role"),
    "ePatient.15": _part("whole_number", "age"),
    "ePatient.16": _part("code", "age_unit"),
    "eSituation.09": Element("diagnosis"),
    "eSituation.10": Element("diagnosis"),
    "eSituation.11": Element("diagnosis"),
    "eSituation.12": Element("diagnosis"),
    "eSituation.13": Element("code"),
    "eSituation.20": Element("code"),
    "eArrest.01": Element("code"),
    "eArrest.03": Element("code"),
    "eArrest.04": Element("code"),
    "eArrest.09": Element("code"),
    "eArrest.11": Element("code"),
    "eArrest.12": Element("code"),
    "eArrest.14": Element("time"),
    "eArrest.15": Element("time"),
    "eArrest.16": Element("code"),
    "eArrest.18": Element("code"),
    "eArrest.19": Element("time"),
    "eHistory.08": Element("diagnosis"),
    "eVitals.01": _part("time", "time"),
    "eVitals.02": _part("code", "prior"),
    "eVitals.03": Element("code"),
    "eVitals.06": Element("number", unit="mmHg"),
    "eVitals.07": Element("number", unit="mmHg"),
    "eVitals.10": Element("number", unit="/min"),
    "eVitals.12": Element("number", unit="%"),
    "eVitals.14": Element("number", unit="/min"),
    "eVitals.15": Element("code"),
    "eVitals.16": Element("number"),
    "eVitals.17": Element("number", unit="%"),
    "eVitals.19": Element("score"),
    "eVitals.20": Element("score"),
    "eVitals.21": Element("score"),
    "eVitals.22": Element("code"),
    "eVitals.23": Element("number"),
    "eVitals.26": Element("code"),
    "eExam.03": _part("time", "time"),
    "eExam.22": Element("code"),
    "eExam.23": Element("code"),
    "eProtocols.01": Element("code"),
    "eMedications.01": _part("time", "time"),
    "eMedications.02": _part("code", "prior"),
    "eMedications.03": Element("drug"),
    "eMedications.04": Element("code"),
    "eMedications.05": _part("number", "dose"),
    "eMedications.06": _part("code", "dose_unit"),
    "eMedications.07": Element("code"),
    "eMedications.08": Element("code"),
    "eMedications.09": _part("text", "member"),
    "eMedications.10": _part("code", "role"),
    "eMedications.13": _part("code", "other_unit"),
    "eProcedures.01": _part("time", "time"),
    "eProcedures.02": _part("code", "prior"),
    "eProcedures.03": Element("procedure"),
    "eProcedures.05": _part("whole_number", "count"),
    "eProcedures.06": _part("code", "success"),
    "eProcedures.07": Element("code"),
    "eProcedures.08": Element("code"),
    "eProcedures.09": _part("text", "member"),
    "eProcedures.10": _part("code", "role"),
    "eProcedures.14": Element("code"),
    "eProcedures.15": _part("code", "other_unit"),
    "eAirway.01": Element("code"),
    "eAirway.02": _part("time", "time"),
    "eAirway.03": Element("code"),
    "eAirway.04": Element("code"),
    "eAirway.07": _part("text", "member"),
    "eAirway.08": Element("code"),
    "eAirway.09": Element("code"),
    "eDisposition.21": Element("code"),
    "eDisposition.27": Element("code", part="contact"),
    "eDisposition.28": Element("code", part="care"),
    "eDisposition.29": Element("code"),
    "eDisposition.30": Element("code", part="transport"),
    "eDisposition.31": Element("code"),
    "eDisposition.32": Element("code"),
    "eOther.03": Element("code"),
    "eOther.04": _part("text", "member"),
    "eOther.05": Element("code", part="exposure"),
    "eOther.06": Element("code"),
}

NAMES = tuple(ELEMENTS)
"""Element names in the order that numbers them while reading."""

VALUE_KEPT_BESIDE_PN = frozenset({"eMedications.03", "eProcedures.03", "eSituation.10", "eExam.22", "eExam.23"})
"""Where a pertinent negative stands beside the code it negates (Schematron e003 to e008; exams: dictionary)."""

PALPATED = "P"
"""eVitals.07: felt, so there is no diastolic number."""


def section_of(name: str) -> str:
    """Return the section an element or group stands in."""
    return name.partition(".")[0]
