"""Planted cases of oxygen kept within its target. Minutes count from the first oxygen; `settle` is minutes 0 to 5."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from qa_audit.demo import complaints
from qa_audit.demo.call import STEADY, Call
from qa_audit.demo.case import Patient
from qa_audit.demo.planted.row import OXYGEN, Planted, Row, protected
from qa_audit.demo.service import local
from qa_audit.demo.vocabulary import Drug, Negative, Route, Unit


def cases() -> Iterator[Planted]:
    """Yield the planted cases, in the order of the calendar."""
    yield _two_readings_of_97()
    yield _high_for_19_minutes()
    yield _stepped_down_in_4_minutes()
    yield _obstructive_at_91()
    yield _carbon_monoxide_at_100()
    yield _nebulizer_to_99()
    yield _transport_of_8_minutes()
    yield _end_only_assumed()
    yield _no_reading()
    yield _reading_unobtainable()
    yield _oxygen_without_time()
    yield _oxygen_of_another_unit()
    yield _stopped_in_own_field()
    yield _over_the_change_of_clocks()


def _row(outcome: str | None, working: str, reason: str | None = None, amount: float | None = None) -> Row:
    return Row(OXYGEN, outcome, working, reason, amount)


def _two_readings_of_97() -> Planted:
    call = Call("two readings of 97 on a cannula", "Ostrel 1", local(2026, 1, 9, 10, 0), complaints.INFLUENZA)
    call.oxygen(0, Route.CANNULA, 2)
    call.reads({-4: 91, 10: 97, 25: 97})
    working = "Ceiling 96; 97 holds 10-25-30 = 20 min (later is assumed), but two readings at +1 are not persistent."
    return Planted(call.name, call.case(), (_row("met", working, amount=20),))


def _high_for_19_minutes() -> Planted:
    call = Call("99-100 for 19 min at 15 L/min", "Ostrel 3", local(2026, 1, 12, 15, 30), complaints.CHEST_PAIN)
    call.left, call.arrived = 10, 25
    call.oxygen(0, Route.NON_REBREATHER, 15)
    call.reads({-3: 96, 6: 99, 12: 100, 18: 99})
    working = "Ceiling 98; 6-12-18-25 (arrival) = 19 min, three at +1 or more over 12 min, no reduction."
    return Planted(call.name, call.case(), (_row("not_met", working, amount=19),))


def _stepped_down_in_4_minutes() -> Planted:
    call = Call("the same stepped down in 4 min", "Ostrel 3", local(2026, 1, 14, 8, 10), complaints.CHEST_PAIN)
    call.left, call.arrived = 10, 30
    call.oxygen(0, Route.NON_REBREATHER, 15)
    call.oxygen(16, Route.CANNULA, 4)
    call.reads({-3: 96, 6: 99, 12: 100, 22: 97})
    working = "A lower device at 16, 4 min after 100 at 12: answered, the run counts no minutes; 97 afterwards."
    return Planted(call.name, call.case(), (_row("met", working, amount=0),))


def _obstructive_at_91() -> Planted:
    call = Call("chronic obstructive disease at 91", "Ostrel 6", local(2026, 1, 15, 22, 5), complaints.OBSTRUCTIVE)
    call.patient = Patient(71, sex="9919003")
    call.arrived = 30
    call.oxygen(0, Route.CANNULA, 2)
    call.reads({-4: 84, 10: 91, 20: 91})
    return Planted(call.name, call.case(), (_row("met", "Ceiling 92; no reading above it, three readings.", amount=0),))


def _carbon_monoxide_at_100() -> Planted:
    call = Call("carbon monoxide at 100", "Ostrel 8", local(2026, 1, 19, 6, 40), complaints.CARBON_MONOXIDE)
    call.oxygen(0, Route.NON_REBREATHER, 15)
    call.reads({8: 100, 20: 100}, like=replace(STEADY, carbon_monoxide="24.0"))
    row = _row("excluded", "T58 comes first in the bands and excludes.", reason="carbon_monoxide")
    return Planted(call.name, call.case(), (row,))


def _nebulizer_to_99() -> Planted:
    call = Call("a nebulizer raising to 99", "Ostrel 11", local(2026, 1, 21, 13, 20), complaints.ASTHMA_WITH_INFLUENZA)
    call.patient = Patient(27)
    call.left, call.arrived = 12, 22
    call.all_protected()
    call.oxygen(0, Route.CANNULA, 4)
    call.gives(5, Drug.ALBUTEROL, Route.NEBULIZER, ("2.5", Unit.MILLIGRAMS))
    call.reads({-3: 90, 10: 99, 16: 99})
    working = (
        "Ceiling 96; 5-20 is the nebulizer's, so 2 of 22 min are judged, less than 5, and the therapy is not short."
    )
    return Planted(call.name, call.case(), (_row("excluded", working, reason="exempt"), *protected()))


def _transport_of_8_minutes() -> Planted:
    call = Call("an 8-minute transport", "Ostrel 13", local(2026, 1, 23, 17, 15), complaints.PNEUMONIA)
    call.left, call.arrived = -1, 8
    call.oxygen(0, Route.NON_REBREATHER, 15)
    call.reads({-4: 89, 3: 99})
    working = "99 stands above 96, 3 min are judged, and the therapy of 8 min is shorter than 10."
    return Planted(call.name, call.case(), (_row("excluded", working, reason="too_short_to_judge"),))


def _end_only_assumed() -> Planted:
    call = Call("high long after the last oxygen entry", "Ostrel 1", local(2026, 1, 27, 11, 0), complaints.INFLUENZA)
    call.oxygen(0, Route.NON_REBREATHER, 15)
    call.reads({-4: 90, 10: 99, 32: 99})
    working = "Ceiling 96; 10-25 = 15 min counted, the second +3 lies behind minute 30 and is only assumed."
    row = _row("cannot_tell", working, reason="therapy_end_unknown", amount=15)
    return Planted(call.name, call.case(), (row,))


def _no_reading() -> Planted:
    call = Call("oxygen without a reading", "Ostrel 6", local(2026, 2, 3, 9, 45), complaints.HEART_FAILURE)
    call.oxygen(0, Route.CANNULA, 3)
    call.reads({-4: None, 12: None})
    row = _row("cannot_tell", "40 min of oxygen, not one reading, and no reason given.", reason="not_documented")
    return Planted(call.name, call.case(), (row,))


def _reading_unobtainable() -> Planted:
    call = Call("no reading could be had", "Ostrel 8", local(2026, 2, 5, 4, 25), complaints.SEPSIS)
    call.oxygen(0, Route.NON_REBREATHER, 10)
    call.reads({4: Negative.UNABLE, 14: Negative.UNABLE})
    row = _row(
        "excluded", "Every saturation entry of the therapy is empty with `unable`.", reason="reading_unobtainable"
    )
    return Planted(call.name, call.case(), (row,))


def _oxygen_without_time() -> Planted:
    call = Call("oxygen without a time", "Ostrel 3", local(2026, 2, 6, 19, 0), complaints.CHEST_PAIN)
    call.oxygen(None, Route.CANNULA, 2)
    call.reads({2: 95, 15: 97})
    row = _row("cannot_tell", "No timed oxygen of this crew at all.", reason="time_missing")
    return Planted(call.name, call.case(), (row,))


def _oxygen_of_another_unit() -> Planted:
    call = Call("oxygen of those who came first", "Ostrel 11", local(2026, 2, 9, 12, 50), complaints.CHEST_PAIN)
    call.oxygen(-10, Route.NON_REBREATHER, 15)
    call.medications[0] = replace(call.medications[0], before_arrival=True, by=None)
    call.reads({0: 100, 12: 99})
    row = _row(None, "Charted as given before this unit's care: it opens nothing and counts against no one.")
    return Planted(call.name, call.case(), (row,))


def _stopped_in_own_field() -> Planted:
    call = Call("stopped in the agency's own field", "Ostrel 13", local(2026, 3, 5, 14, 35), complaints.PNEUMONIA)
    call.oxygen(0, Route.NON_REBREATHER, 12, tie="oxygen-1")
    call.oxygen_off(11, tie="oxygen-1")
    call.reads({-4: 89, 7: 99, 9: 98, 20: 94})
    working = "Ceiling 94; stopped at 11, 4 min after 99 at 7: answered, so the run counts no minutes; therapy 0-11."
    return Planted(call.name, call.case(), (_row("met", working, amount=0),))


def _over_the_change_of_clocks() -> Planted:
    call = Call("over the change of the clocks", "Ostrel 8", local(2026, 3, 8, 1, 50), complaints.INFLUENZA)
    call.oxygen(0, Route.CANNULA, 4)
    call.reads({-4: 90, 10: 97, 25: 97})
    working = "Ceiling 94; 10 min after 01:50 it is 03:00; 10-25-30 = 20 min of real time, two at +3."
    return Planted(call.name, call.case(), (_row("not_met", working, amount=20),))
