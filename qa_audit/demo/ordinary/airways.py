"""Ordinary calls in which somebody breathes for the patient; far more frequent here than anywhere."""

from __future__ import annotations

from dataclasses import replace

from qa_audit.demo import complaints
from qa_audit.demo.call import STEADY, Call
from qa_audit.demo.case import Arrest, Patient, Reading
from qa_audit.demo.ordinary.draw import Draw
from qa_audit.demo.ordinary.habits import end_tidal, equipment, filter_of
from qa_audit.demo.vocabulary import (
    BY_AUSCULTATION,
    BY_WAVEFORM,
    DIRECT_LARYNGOSCOPE,
    SUPRAGLOTTIC_OTHER,
    TRACHEAL_TUBE,
    VIDEO_LARYNGOSCOPE,
    Act,
    Drug,
    Effort,
    Negative,
    Route,
    Service,
    Unit,
)

PULSELESS = Reading(None, heart_rate=0, breaths=0, effort=Effort.APNEIC, coma_scale=(1, 1, 1), alertness="3326007")
VENTILATION_AND_COMPRESSIONS = ("3003003", "3003005")
BY_HAND, BY_BAG, BY_ADVANCED_AIRWAY = "3009001", "3009013", "3009025"
RETURNED_BEFORE_HOSPITAL, PULSE_IN_THE_FIELD, STILL_GOING_ON = "3012005", "3018007", "3018005"
CIRCULATION_RETURNED = "3016011"


def overdose(call: Call, draw: Draw) -> None:
    """Chart an overdose that was bagged until naloxone worked."""
    call.complaint = complaints.OVERDOSE
    call.patient = Patient(22 + draw.below(30), sex=call.patient.sex)
    call.reads({-3: 74 + draw.below(8)}, replace(STEADY, breaths=4, coma_scale=(1, 1, 3), alertness="3326007"))
    call.does(0, Act.BAG_VALVE_MASK, tie="bag-1")
    filter_of(call, draw, "bag-1")
    call.gives(2, Drug.NALOXONE, Route.INTRANASAL, ("2", Unit.MILLIGRAMS))
    call.reads({6: 94, 15: 97}, replace(STEADY, end_tidal=end_tidal(draw)))
    call.narrative = "Hardly breathing, bagged until the antidote worked, then awake and talking."
    equipment(call, draw, near_aerosol=True)


def arrest(call: Call, draw: Draw) -> None:
    """Chart a resuscitation, with a supraglottic airway or a tube; circulation returns in some."""
    call.complaint = complaints.ARREST
    call.patient = Patient(45 + draw.below(40), sex=call.patient.sex)
    returned = draw.chance(0.35)
    call.arrest = _arrest(call, returned=returned)
    call.does(0, Act.COMPRESSIONS)
    call.does(1, Act.BAG_VALVE_MASK, call.partner, tie="bag-1")
    filter_of(call, draw, "bag-1")
    call.gives(4, Drug.EPINEPHRINE_FOR_VEIN, Route.INTRAOSSEOUS, ("1", Unit.MILLIGRAMS))
    if draw.chance(0.6):
        call.does(6, Act.SUPRAGLOTTIC, tie="airway-1")
        call.confirms(7, SUPRAGLOTTIC_OTHER, BY_WAVEFORM, of="airway-1")
    else:
        _tube(call, draw, 7)
    call.reads({0: Negative.NOT_PRESENT}, PULSELESS)
    after = replace(STEADY, end_tidal=end_tidal(draw), coma_scale=(1, 1, 1), alertness="3326007")
    call.reads({20: 95, 30: 97} if returned else {15: Negative.NOT_PRESENT}, after if returned else PULSELESS)
    equipment(call, draw, near_aerosol=True)


def _arrest(call: Call, *, returned: bool) -> Arrest:
    if not returned:
        methods = (BY_HAND, BY_BAG, BY_ADVANCED_AIRWAY)
        return Arrest("3001003", VENTILATION_AND_COMPRESSIONS, methods, at=call.at(-8), outcome=STILL_GOING_ON)
    return Arrest(
        when="3001003",
        attempted=VENTILATION_AND_COMPRESSIONS,
        methods=(BY_HAND, BY_BAG),
        circulation_returned=(RETURNED_BEFORE_HOSPITAL,),
        at=call.at(-8),
        ended=call.at(14),
        ended_because=CIRCULATION_RETURNED,
        outcome=PULSE_IN_THE_FIELD,
        first_rhythm="3011011",
    )


def failing_breath(call: Call, draw: Draw) -> None:
    """Chart respiratory failure: bag, then a tube with or without induction."""
    call.complaint = complaints.RESPIRATORY_FAILURE
    call.reads({-4: 78 + draw.below(8)}, replace(STEADY, breaths=8, coma_scale=(2, 2, 4)))
    call.does(0, Act.BAG_VALVE_MASK, tie="bag-1")
    filter_of(call, draw, "bag-1")
    if draw.chance(0.5):
        call.gives(5, Drug.KETAMINE, Route.INTRAVENOUS, ("120", Unit.MILLIGRAMS))
        call.gives(6, Drug.ROCURONIUM, Route.INTRAVENOUS, ("90", Unit.MILLIGRAMS))
        call.does(5, Act.INDUCTION)
    _tube(call, draw, 9)
    call.reads({8: 92, 16: 96, 28: 97}, replace(STEADY, end_tidal=end_tidal(draw), effort=Effort.ASSISTED))
    call.narrative = "Tired out, could not keep up the breathing. Bagged, then the airway was secured."
    equipment(call, draw, near_aerosol=True)


def _tube(call: Call, draw: Draw, minute: float) -> None:
    """Chart the tube: mostly one attempt, sometimes two or no count."""
    technique = VIDEO_LARYNGOSCOPE if draw.chance(0.7) else DIRECT_LARYNGOSCOPE
    attempts = draw.by_share(((0.72, 1), (0.16, 2)), otherwise=None)
    act = Act.TUBE_OVER_BOUGIE if draw.chance(0.3) else Act.TUBE
    call.does(minute, act, attempts=attempts, technique=technique, tie="tube-1")
    method = BY_WAVEFORM if draw.chance(0.8) else BY_AUSCULTATION
    call.confirms(minute + 1, TRACHEAL_TUBE, method, of="tube-1")


def on_a_ventilator(call: Call, draw: Draw) -> None:
    """Chart a transfer between hospitals on a ventilator."""
    call.complaint, call.service = complaints.TRANSFER, Service.BETWEEN_HOSPITALS
    call.does(0, Act.VENTILATOR, tie="ventilator-1")
    filter_of(call, draw, "ventilator-1")
    call.reads({0: 96, 12: 96, 26: 97}, replace(STEADY, end_tidal=end_tidal(draw), effort=Effort.ASSISTED))
    if draw.chance(0.3):
        call.does(10, Act.SUCTION, call.partner)
    equipment(call, draw, near_aerosol=False)
