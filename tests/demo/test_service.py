"""The invented service has the size that it says it has."""

from __future__ import annotations

from datetime import date, timedelta

from qa_audit.demo.service import HOSPITALS, SAMPLE_VEHICLES, STATIONS, VEHICLES, crew_of, people_of, students
from qa_audit.demo.vocabulary import PARAMEDIC, CrewRole


def test_three_stations_fourteen_vehicles_three_hospitals_and_forty_five_people() -> None:
    everybody = {person.id for vehicle in VEHICLES for person in people_of(vehicle)} | {one.id for one in students()}
    assert (len(STATIONS), len(set(VEHICLES)), HOSPITALS, len(everybody)) == (3, 14, 3, 45)


def test_the_samples_use_vehicles_of_every_station() -> None:
    assert all(set(SAMPLE_VEHICLES) & set(vehicles) for vehicles in STATIONS.values())


def test_a_paramedic_leads_and_somebody_else_drives_on_every_day() -> None:
    for day in (date(2026, 1, 1) + timedelta(days=number) for number in range(7)):
        lead, partner = crew_of("Ostrel 6", day)
        assert lead.level == PARAMEDIC
        assert lead.id != partner.id
        assert CrewRole.DRIVES_IN_TRANSPORT in partner.roles
        assert CrewRole.DRIVES_IN_TRANSPORT not in lead.roles
