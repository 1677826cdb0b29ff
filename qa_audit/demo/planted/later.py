"""Planted cases and series that wait for rules, editions or history which do not exist yet."""

from __future__ import annotations

from collections.abc import Iterator

from qa_audit.demo import complaints
from qa_audit.demo.call import Call
from qa_audit.demo.case import Patient
from qa_audit.demo.planted.row import LEAD, PARTNER, RESPIRATOR, Planted, Row, protected
from qa_audit.demo.service import local
from qa_audit.demo.vocabulary import Drug, Route, Unit, Wear

HISTORY = "the history of 27 months"


def cases() -> Iterator[Planted]:
    """Yield the cases that stand in a sample month already, then those that stand in none yet."""
    yield _nebulizer_at_open_doors()
    yield _epinephrine_for_anaphylaxis()
    yield from _face_masks_and_the_shortage()
    yield from _series()


def _nebulizer_at_open_doors() -> Planted:
    call = Call("a nebulizer finished at open doors", "Ostrel 11", local(2026, 3, 11, 9, 30), complaints.ASTHMA)
    call.arrived = 30
    call.gives(20, Drug.ALBUTEROL, Route.NEBULIZER, ("2.5", Unit.MILLIGRAMS))
    call.wears(call.lead, Wear.GLOVES, Wear.RESPIRATOR)
    call.reads({0: 93, 24: 96})
    later = Row(
        "nebulizer-stopped-before-the-hospital-door",
        "met",
        "Stopped within 15 min of arrival: finishing at open doors is proper.",
        waits_for="the rulebook's rule on stopping at the hospital door, and an own field for the stop",
    )
    working = "Drives; minute 20 lies between leaving (15) and arrival (30)."
    driver = Row(RESPIRATOR, "excluded", working, "not_present", member=PARTNER)
    return Planted(call.name, call.case(), (*protected(LEAD), driver, later))


def _epinephrine_for_anaphylaxis() -> Planted:
    call = Call("epinephrine for anaphylaxis", "Ostrel 1", local(2026, 3, 16, 18, 5), complaints.ANAPHYLAXIS)
    call.patient = Patient(34)
    call.gives(0, Drug.EPINEPHRINE_FOR_MUSCLE, Route.INTRAMUSCULAR, ("0.3", Unit.MILLIGRAMS))
    call.reads({-2: 94, 6: 97, 15: 98})
    later = Row(
        "intramuscular-epinephrine-for-severe-distress",
        "excluded",
        "Anaphylaxis is excluded: there it is the first drug.",
        reason="anaphylaxis",
        waits_for="the rulebook's rule on intramuscular epinephrine",
    )
    return Planted(call.name, call.case(), (later,))


def _face_masks_and_the_shortage() -> Iterator[Planted]:
    for when, outcome in (("before", "not_met"), ("during", "met"), ("after", "not_met")):
        working = (
            f"A surgical mask on the member's own list, {when} the edition that accepts one in a respirator's place."
        )
        row = Row(RESPIRATOR, outcome, working, member=LEAD, waits_for="the shortage edition and its restoration")
        yield Planted(f"a face mask {when} the shortage", None, (row,))


def _series() -> Iterator[Planted]:
    """Yield what only many months can show."""
    for name, rule, found, working in (
        ("a slow drift in over-oxygenation", "trend", "signal", "The trend must find it in the month it can."),
        (
            "two vehicles without video",
            "video-laryngoscope",
            "system finding",
            "Equipment, not crews: both lack the device.",
        ),
        ("charting that improves while care stays flat", "trend", "completeness alone", "Fewer gaps, the same care."),
        (
            "a crew that only looks bad by chance",
            "funnel",
            "no signal",
            "Inside the exact limits: must not be flagged.",
        ),
    ):
        yield Planted(name, None, (Row(rule, found, working, waits_for=HISTORY),))
