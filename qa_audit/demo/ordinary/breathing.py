"""Ordinary calls in which oxygen is given and nobody's airway is touched."""

from __future__ import annotations

from dataclasses import replace

from qa_audit.demo import complaints
from qa_audit.demo.call import Call
from qa_audit.demo.case import Patient
from qa_audit.demo.ordinary.draw import Draw
from qa_audit.demo.ordinary.habits import IN_DISTRESS, before_oxygen, end_tidal, equipment, oxygen_course
from qa_audit.demo.vocabulary import Act, Drug, Negative, Route, Unit, Wear

CAPPED_AT_92, CAPPED_AT_94, CAPPED_AT_98 = 92, 94, 98


def infection(call: Call, draw: Draw) -> None:
    """Chart influenza or pneumonia with oxygen."""
    call.complaint = complaints.INFLUENZA if draw.chance(0.6) else complaints.PNEUMONIA
    call.narrative = "Feverish for days, coughing, short of breath. Oxygen given, taken to the hospital."
    oxygen_course(call, draw, CAPPED_AT_94)
    equipment(call, draw, near_aerosol=False)


def obstructive(call: Call, draw: Draw) -> None:
    """Chart chronic obstructive disease with oxygen, often with a nebulizer."""
    call.complaint = complaints.OBSTRUCTIVE
    call.patient = Patient(58 + draw.below(30), sex=call.patient.sex)
    nebulized = draw.chance(0.6)
    oxygen_course(call, draw, CAPPED_AT_92)
    if nebulized:
        call.gives(4, Drug.ALBUTEROL_IPRATROPIUM, Route.NEBULIZER, ("3", Unit.MILLIGRAMS))
    if draw.chance(0.3):
        call.gives(12, Drug.DEXAMETHASONE, Route.INTRAVENOUS, ("10", Unit.MILLIGRAMS))
    equipment(call, draw, near_aerosol=nebulized)


def asthma(call: Call, draw: Draw) -> None:
    """Chart asthma with a nebulizer, sometimes driven by charted oxygen."""
    call.complaint = complaints.ASTHMA
    call.patient = Patient(9 + draw.below(40), sex=call.patient.sex)
    call.reads({-3: before_oxygen(draw) + 5}, IN_DISTRESS)
    call.gives(1, Drug.ALBUTEROL, Route.NEBULIZER, ("2.5", Unit.MILLIGRAMS))
    if draw.chance(0.4):
        call.gives(1, Drug.OXYGEN, Route.NEBULIZER, ("8", Unit.LITRES_PER_MINUTE))
    call.reads({9: 95, 18: 96}, IN_DISTRESS)
    call.narrative = "Wheezing since the morning, better after the inhaled drug."
    equipment(call, draw, near_aerosol=True)


def heart_failure(call: Call, draw: Draw) -> None:
    """Chart fluid in the lungs: CPAP in most, refused by some."""
    call.complaint = complaints.HEART_FAILURE
    refused = draw.chance(0.2)
    call.reads({-3: before_oxygen(draw)}, IN_DISTRESS)
    call.gives(2, Drug.NITROGLYCERIN, Route.SUBLINGUAL, ("0.4", Unit.MILLIGRAMS))
    call.does(4, Act.CPAP, negative=Negative.REFUSED if refused else None)
    if refused:
        call.oxygen(6, Route.NON_REBREATHER, 12)
        call.narrative = "Did not want the tight mask. Oxygen by mask instead."
    call.reads({10: 91, 18: 94, 27: 95}, replace(IN_DISTRESS, end_tidal=end_tidal(draw)))
    equipment(call, draw, near_aerosol=not refused)


def chest_pain(call: Call, draw: Draw) -> None:
    """Chart chest pain; oxygen in a third."""
    call.complaint = complaints.CHEST_PAIN
    call.gives(2, Drug.ASPIRIN, Route.ORAL, ("324", Unit.MILLIGRAMS))
    call.does(3, Act.TWELVE_LEAD)
    if draw.chance(0.33):
        oxygen_course(call, draw, CAPPED_AT_98)
    else:
        call.reads({0: 96 + draw.below(3), 12: 96 + draw.below(3), 24: 97})
    call.wears(call.lead, Wear.GLOVES)


def unclear_flow(call: Call, draw: Draw) -> None:
    """Chart oxygen whose flow has litres as its unit, the commonest slip of the finger."""
    call.complaint = complaints.SEPSIS
    call.gives(0, Drug.OXYGEN, Route.CANNULA, ("2", Unit.LITRES))
    call.reads({-3: before_oxygen(draw) + 3, 9: 94, 20: 95})
