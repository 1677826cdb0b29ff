"""A call under way: minutes are real minutes, and the crew is the vehicle's crew of the day."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from qa_audit.demo import complaints
from qa_audit.demo.call import Call
from qa_audit.demo.case import Disposition
from qa_audit.demo.service import local
from qa_audit.demo.vocabulary import Route


def call(start: datetime) -> Call:
    return Call("a test", "Ostrel 1", start, complaints.INFLUENZA)


def test_minutes_are_counted_in_real_time_over_the_change_of_the_clocks() -> None:
    """In 2026 clocks in the zone jump from 02:00 to 03:00 on 8 March (IANA time-zone database)."""
    before = call(local(2026, 3, 8, 1, 50))
    assert before.at(0) == datetime(2026, 3, 8, 7, 50, tzinfo=UTC)
    assert before.at(10) == datetime(2026, 3, 8, 8, 0, tzinfo=UTC)
    assert before.at(10) == local(2026, 3, 8, 3, 0)


def test_milestones_follow_each_other() -> None:
    milestones = call(local(2026, 1, 9, 10)).case().milestones
    times = [
        milestones.called,
        milestones.notified,
        milestones.en_route,
        milestones.on_scene,
        milestones.at_patient,
        milestones.left_scene,
        milestones.arrived,
        milestones.handed_over,
        milestones.back_in_service,
    ]
    assert None not in times
    assert times == sorted(times)


def test_a_call_cancelled_on_the_way_reached_no_patient_and_no_hospital() -> None:
    cancelled = call(local(2026, 1, 9, 10))
    cancelled.disposition = Disposition(unit="4227005", care=None, crew=None, transport=None, destination=None)
    cancelled.left = cancelled.arrived = None
    milestones = cancelled.case().milestones
    assert (milestones.at_patient, milestones.left_scene, milestones.arrived, milestones.handed_over) == (None,) * 4
    assert milestones.back_in_service > milestones.notified


def test_readings_are_frozen_in_the_order_of_time() -> None:
    charted = call(local(2026, 1, 9, 10))
    charted.reads({20: 95, 5: 93})
    assert [reading.saturation for reading in charted.case().readings] == [93, 95]


def test_oxygen_is_charted_in_litres_a_minute_by_the_lead() -> None:
    charted = call(local(2026, 1, 9, 10))
    charted.oxygen(3, Route.CANNULA, 2)
    (oxygen,) = charted.case().medications
    assert (oxygen.dose, oxygen.unit, oxygen.by) == ("2", "3706035", charted.lead)
    assert oxygen.at == local(2026, 1, 9, 10) + timedelta(minutes=3)
