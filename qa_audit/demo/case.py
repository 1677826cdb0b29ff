"""A call as a crew would chart it, without a word of XML: the form that every invented report starts from."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID, uuid5

from qa_audit.demo.vocabulary import CarbonDioxide, CrewRole, Effort, Level, Negative, Route, Service, Unit, Wear

REPORTS = UUID("0c5a3c1e-8f0e-5d0b-9a55-2f6d5b9e7a41")
"""Namespace of the invented reports: a version-5 UUID in it cannot be that of a real report."""


@dataclass(frozen=True)
class Member:
    """A person of the crew; the id is an invented licence number."""

    id: str
    level: Level
    roles: tuple[CrewRole, ...]


@dataclass(frozen=True)
class EquipmentList:
    """What was charted as worn, by one member, or by nobody named."""

    member: str | None
    items: tuple[Wear, ...]


@dataclass(frozen=True)
class Milestones:
    """The times of the call; null where it did not come to that."""

    called: datetime
    notified: datetime
    back_in_service: datetime
    en_route: datetime | None = None
    on_scene: datetime | None = None
    at_patient: datetime | None = None
    left_scene: datetime | None = None
    arrived: datetime | None = None
    handed_over: datetime | None = None


@dataclass(frozen=True)
class Complaint:
    """What the call was for and what the crew thought it was (codes of the standard, ICD-10-CM)."""

    dispatch: str
    symptom: str
    impression: str
    organ_system: str
    also: tuple[str, ...] = ()
    history: tuple[str, ...] = ()
    protocol: str | None = None
    acuity: str = "2813003"


@dataclass(frozen=True)
class Patient:
    """Age and sex only: nothing else about an invented patient is ever written."""

    age: int
    age_unit: str = "2516009"
    sex: str = "9919001"


@dataclass(frozen=True)
class Reading:
    """One set of vital signs; null is not recorded, a `Negative` is the reason why there is none."""

    at: datetime | None
    saturation: int | Negative | None = None
    heart_rate: int | None = None
    systolic: int | None = None
    diastolic: int | None = None
    breaths: int | None = None
    effort: Effort | None = None
    end_tidal: tuple[str, CarbonDioxide | None] | None = None
    carbon_monoxide: str | None = None
    coma_scale: tuple[int, int, int] | None = None
    alertness: str | None = None


@dataclass(frozen=True)
class Medication:
    """A medication given; `tie` is what an agency's own result refers to."""

    at: datetime | None
    drug: str
    route: Route
    dose: str
    unit: Unit
    by: Member | None
    before_arrival: bool = False
    tie: str | None = None


@dataclass(frozen=True)
class Procedure:
    """A procedure done, or considered and not done (`negative`)."""

    at: datetime
    code: str
    by: Member
    attempts: int | None = 1
    success: bool | None = True
    negative: Negative | None = None
    technique: str | None = None
    tie: str | None = None


@dataclass(frozen=True)
class Arrest:
    """A cardiac arrest; codes of eArrest."""

    when: str
    attempted: tuple[str, ...]
    methods: tuple[str, ...]
    circulation_returned: tuple[str, ...] = ("3012001",)
    at: datetime | None = None
    ended: datetime | None = None
    ended_because: str | None = None
    outcome: str | None = None
    first_rhythm: str | None = None


@dataclass(frozen=True)
class Confirmation:
    """An airway device whose place was confirmed; `of` is the tie of its procedure."""

    at: datetime
    device: str
    method: str
    by: Member
    of: str | None = None


@dataclass(frozen=True)
class OwnResult:
    """A result of one of the agency's own elements, tied to a group or to none."""

    element: str
    value: str | datetime
    tie: str | None = None


@dataclass(frozen=True)
class Disposition:
    """How the call ended (eDisposition.27 to .31, .21); codes null where they do not apply."""

    unit: str = "4227001"
    care: str | None = "4228001"
    crew: str | None = "4229001"
    transport: str | None = "4230001"
    refused_because: str | None = None
    destination: str | None = "4221003"


@dataclass(frozen=True)
class Case:
    """One report; `name` is stable and gives the UUID, so that a case keeps its identity over seeds and versions."""

    name: str
    vehicle: str
    milestones: Milestones
    crew: tuple[Member, ...]
    complaint: Complaint
    patient: Patient
    disposition: Disposition
    service: Service
    equipment: tuple[EquipmentList, ...]
    readings: tuple[Reading, ...]
    medications: tuple[Medication, ...]
    procedures: tuple[Procedure, ...]
    arrest: Arrest | None
    confirmations: tuple[Confirmation, ...]
    airway_complications: tuple[str | Negative, ...]
    own_results: tuple[OwnResult, ...]
    narrative: str | None
    written_at_offset: timedelta | None

    @property
    def uuid(self) -> UUID:
        """Return the report's UUID, of version 5."""
        return uuid5(REPORTS, self.name)
