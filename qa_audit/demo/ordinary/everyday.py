"""Ordinary calls without oxygen: most of what an ambulance is called for."""

from __future__ import annotations

from qa_audit.demo import complaints
from qa_audit.demo.call import Call
from qa_audit.demo.case import Disposition
from qa_audit.demo.ordinary.draw import Draw
from qa_audit.demo.ordinary.habits import equipment
from qa_audit.demo.vocabulary import Act, Drug, Route, Unit

EVERYDAY = (
    complaints.FALL,
    complaints.BELLY_PAIN,
    complaints.FAINTING,
    complaints.SEIZURE,
    complaints.STROKE,
    complaints.LOW_SUGAR,
    complaints.SEPSIS,
)


def everyday(call: Call, draw: Draw) -> None:
    """Chart a call in which the patient breathes well."""
    call.complaint = draw.one_of(EVERYDAY)
    readings = {0: 95 + draw.below(4), 14: 96 + draw.below(3), 26: 97}
    call.reads({minute: value for minute, value in readings.items() if draw.chance(0.9)})
    if call.complaint is complaints.FALL and draw.chance(0.5):
        call.gives(6, Drug.FENTANYL, Route.INTRAVENOUS, ("50", Unit.MICROGRAMS))
    if draw.chance(0.4):
        call.does(8, Act.VENOUS_ACCESS, attempts=1 + draw.below(2), success=draw.chance(0.8))
    equipment(call, draw, near_aerosol=False)


def refused(call: Call, draw: Draw) -> None:
    """Chart a patient who was looked at and did not want to go."""
    call.complaint = complaints.FAINTING if draw.chance(0.5) else complaints.FALL
    call.left = call.arrived = None
    call.disposition = Disposition(
        care="4228003", crew="4229013", transport="4230009", refused_because="4231003", destination=None
    )
    call.reads({0: 97})


def cancelled(call: Call, _draw: Draw) -> None:
    """Chart a call that was cancelled on the way."""
    call.complaint = complaints.UNKNOWN
    call.left = call.arrived = None
    call.disposition = Disposition(unit="4227005", care=None, crew=None, transport=None, destination=None)
