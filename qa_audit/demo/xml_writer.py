"""Invented reports as EMSDataSet XML of NEMSIS v3.5: one agency, its own elements, and its reports.

No element that names a person or a place is ever written; required ones stand empty with a reason.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from lxml import etree

from qa_audit.demo.case import Case
from qa_audit.demo.xml_care import write_care
from qa_audit.demo.xml_elements import INSTANCE, NAMESPACE, Clock, Section
from qa_audit.demo.xml_scene import write_scene

SCHEMA_LOCATIONS = {
    "3.5.0": "https://nemsis.org/media/nemsis_v3/3.5.0.250403CP5/XSDs/NEMSIS_XSDs/EMSDataSet_v3.xsd",
    "3.5.1": "https://nemsis.org/media/nemsis_v3/3.5.1.250403CP1/XSDs/NEMSIS_XSDs/EMSDataSet_v3.xsd",
}

NAMESPACES: dict[str | None, str] = {None: NAMESPACE, "xsi": INSTANCE}
RECURS_NOT, OPTIONAL = "9923001", "9903007"


@dataclass(frozen=True)
class OwnElement:
    """One element that the agency defined itself: what it extends, what it may hold."""

    id: str
    title: str
    meaning: str
    extends: str
    data_type: str
    values: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True)
class Agency:
    """The agency as its files name it, by numbers only."""

    state_id: str
    number: str
    state: str
    time_zone: ZoneInfo
    own_elements: tuple[OwnElement, ...]


def document(agency: Agency, cases: Sequence[Case], version: str) -> bytes:
    """Return one file of reports, byte for byte the same for the same cases; `version` is 3.5.0 or 3.5.1."""
    root = etree.Element(f"{{{NAMESPACE}}}EMSDataSet", nsmap=NAMESPACES)  # type: ignore[arg-type] # the stubs know no default namespace
    root.set(f"{{{INSTANCE}}}schemaLocation", f"{NAMESPACE} {SCHEMA_LOCATIONS[version]}")
    header = Section(root, Clock(agency.time_zone, None)).group("Header")
    demographic = header.group("DemographicGroup")
    demographic.put("dAgency.01", agency.state_id)
    demographic.put("dAgency.02", agency.number)
    demographic.put("dAgency.04", agency.state)
    _write_own_elements(header, agency.own_elements)
    for case in cases:
        _write_report(header, agency, case, version)
    etree.indent(root, space=" ")
    written: bytes = etree.tostring(root, xml_declaration=True, encoding="UTF-8", pretty_print=True)
    return written


def _write_own_elements(header: Section, elements: Sequence[OwnElement]) -> None:
    configuration = header.group("eCustomConfiguration")
    for element in elements:
        group = configuration.group("eCustomConfiguration.CustomGroup", CustomElementID=element.id)
        group.put("eCustomConfiguration.01", element.title, nemsisElement=element.extends)
        group.put("eCustomConfiguration.02", element.meaning)
        group.put("eCustomConfiguration.03", element.data_type)
        group.put("eCustomConfiguration.04", RECURS_NOT)
        group.put("eCustomConfiguration.05", OPTIONAL)
        for value, meaning in element.values:
            group.put("eCustomConfiguration.06", value, customValueDescription=meaning)


def _write_report(header: Section, agency: Agency, case: Case, version: str) -> None:
    node = header.group("PatientCareReport", UUID=str(case.uuid))
    report = node.timed_by(Clock(agency.time_zone, case.written_at_offset))
    write_scene(report, agency.number, case)
    write_care(report, case, has_technique=version != "3.5.0")
    _write_outcome(report)
    _write_own_results(report, case)
    _write_equipment(report, case)


def _write_outcome(report: Section) -> None:
    outcome = report.group("eOutcome")
    outcome.empty("eOutcome.01", "eOutcome.02")
    outcome.group("eOutcome.EmergencyDepartmentProceduresGroup").empty("eOutcome.09", "eOutcome.19")
    outcome.empty("eOutcome.10", "eOutcome.11")
    outcome.group("eOutcome.HospitalProceduresGroup").empty("eOutcome.12", "eOutcome.20")
    outcome.empty("eOutcome.13", "eOutcome.16", "eOutcome.18")


def _write_own_results(report: Section, case: Case) -> None:
    if not case.own_results:
        return
    section = report.group("eCustomResults")
    for result in case.own_results:
        group = section.group("eCustomResults.ResultsGroup")
        group.put("eCustomResults.01", result.value)
        group.put("eCustomResults.02", result.element)
        group.put_if("eCustomResults.03", result.tie)


def _write_equipment(report: Section, case: Case) -> None:
    section = report.group("eOther")
    for worn in case.equipment:
        group = section.group("eOther.EMSCrewMemberGroup")
        for item in worn.items:
            group.put("eOther.03", item)
        group.put_if("eOther.04", worn.member)
