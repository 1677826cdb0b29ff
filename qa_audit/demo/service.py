"""The invented service: Ostrel Sound Ambulance, its vehicles, people and own elements. Nothing in it is real."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from qa_audit.demo.case import Member
from qa_audit.demo.vocabulary import PARAMEDIC, STUDENT, TECHNICIAN, CrewRole, Level
from qa_audit.demo.xml_writer import Agency, OwnElement

NAME = "Ostrel Sound Ambulance"
TIME_ZONE = "America/Chicago"
ZONE = ZoneInfo(TIME_ZONE)

FILTER = "svc.filter"
FILTER_IN_LINE, NO_FILTER = "1", "0"
OXYGEN_OFF = "svc.oxygenOff"

STATIONS = {
    "Harbor": ("Ostrel 1", "Ostrel 2", "Ostrel 3", "Ostrel 4", "Ostrel 5"),
    "Ridge": ("Ostrel 6", "Ostrel 7", "Ostrel 8", "Ostrel 9", "Ostrel 10"),
    "Ferry": ("Ostrel 11", "Ostrel 12", "Ostrel 13", "Ostrel 14"),
}
"""Three stations and fourteen vehicles; stations stand in no report."""

VEHICLES = tuple(vehicle for vehicles in STATIONS.values() for vehicle in vehicles)
SAMPLE_VEHICLES = ("Ostrel 1", "Ostrel 3", "Ostrel 6", "Ostrel 8", "Ostrel 11", "Ostrel 13")
"""The vehicles of the small samples: two of each station, so that each has a handful of calls a month."""

HOSPITALS = 3
"""The patients go to three hospitals; their names are identifiers of places and are never written."""

PEOPLE_OF_A_VEHICLE = (PARAMEDIC, PARAMEDIC, TECHNICIAN)
STUDENTS = 3
FIRST_NUMBER = 401

AGENCY = Agency(
    state_id="OSTREL-SOUND",
    number="OS-900",
    state="00",
    time_zone=ZONE,
    own_elements=(
        OwnElement(
            id=FILTER,
            title="Viral filter in line",
            meaning="A viral filter stood between the mask or tube and the bag or ventilator.",
            extends="eProcedures.ProcedureGroup",
            data_type="9902009",
            values=((FILTER_IN_LINE, "In line"), (NO_FILTER, "Not in line")),
        ),
        OwnElement(
            id=OXYGEN_OFF,
            title="Oxygen stopped",
            meaning="When the flow of oxygen was stopped.",
            extends="eMedications.MedicationGroup",
            data_type="9902003",
        ),
    ),
)


def local(year: int, month: int, day: int, hour: int, minute: int = 0) -> datetime:
    """Return a wall-clock time of the service."""
    return datetime(year, month, day, hour, minute, tzinfo=ZONE)


@dataclass(frozen=True)
class Person:
    """One of the about 45 people of the service, by an invented licence number."""

    id: str
    level: Level

    def on_call(self, *roles: CrewRole) -> Member:
        """Return the person as a member of one call's crew."""
        return Member(self.id, self.level, roles)


def people_of(vehicle: str) -> tuple[Person, ...]:
    """Return the three people who staff a vehicle: two paramedics and a technician."""
    first = FIRST_NUMBER + VEHICLES.index(vehicle) * len(PEOPLE_OF_A_VEHICLE)
    return tuple(Person(f"OS-{first + place:04}", level) for place, level in enumerate(PEOPLE_OF_A_VEHICLE))


def students() -> tuple[Person, ...]:
    """Return the students, who ride along and belong to no vehicle."""
    first = FIRST_NUMBER + len(VEHICLES) * len(PEOPLE_OF_A_VEHICLE)
    return tuple(Person(f"OS-{first + place:04}", STUDENT) for place in range(STUDENTS))


def crew_of(vehicle: str, day: date) -> tuple[Member, Member]:
    """Return who leads and who drives on a day: the pairs take turns, and a paramedic always leads."""
    older, younger, technician = people_of(vehicle)
    lead, partner = ((older, technician), (younger, technician), (older, younger))[
        day.toordinal() % len(PEOPLE_OF_A_VEHICLE)
    ]
    return (
        lead.on_call(CrewRole.LEADS_AT_SCENE, CrewRole.LEADS_IN_TRANSPORT),
        partner.on_call(CrewRole.DRIVES_TO_SCENE, CrewRole.HELPS_AT_SCENE, CrewRole.DRIVES_IN_TRANSPORT),
    )
