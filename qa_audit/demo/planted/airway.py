"""Planted cases of intubation attempts. Minutes count from the first procedure of the airway."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime

from qa_audit.demo import complaints
from qa_audit.demo.call import Call
from qa_audit.demo.planted.row import FILTERED, LEAD, ONE_ATTEMPT, OXYGEN, PARTNER, STUDENT, Planted, Row, protected
from qa_audit.demo.service import local, students
from qa_audit.demo.vocabulary import (
    BY_WAVEFORM,
    DIRECT_LARYNGOSCOPE,
    TRACHEAL_TUBE,
    TUBE_DISLODGED,
    VIDEO_LARYNGOSCOPE,
    Act,
    CrewRole,
    Drug,
    Route,
    Unit,
)


def cases() -> Iterator[Planted]:
    """Yield the planted cases."""
    yield _induction_and_tube()
    yield _double_entry()
    yield _dislodged_tube()
    yield _two_attempts()
    yield _running_numbers()
    yield _count_not_charted()
    yield _confirmed_without_a_row()
    yield _student_at_the_tube()


def _call(name: str, vehicle: str, start: datetime) -> Call:
    """Return a bagged patient, everyone protected, the filter charted with the bag."""
    call = Call(name, vehicle, start, complaints.RESPIRATORY_FAILURE)
    call.does(0, Act.BAG_VALVE_MASK, tie="bag-1")
    call.filter_charted("bag-1")
    call.all_protected()
    call.reads({-4: 76, 4: 91, 24: 95})
    return call


def _planted(call: Call, *rows: Row) -> Planted:
    return Planted(call.name, call.case(), (*rows, *protected(), FILTERED))


def _row(outcome: str, working: str, reason: str | None = None, amount: float | None = None) -> Row:
    return Row(ONE_ATTEMPT, outcome, working, reason, amount)


def _induction_and_tube() -> Planted:
    call = Call("induction 10:05 and tube 10:11", "Ostrel 8", local(2026, 1, 29, 10, 0), complaints.PNEUMONIA)
    call.oxygen(0, Route.NON_REBREATHER, 15)
    call.gives(5, Drug.KETAMINE, Route.INTRAVENOUS, ("100", Unit.MILLIGRAMS))
    call.gives(5, Drug.ROCURONIUM, Route.INTRAVENOUS, ("80", Unit.MILLIGRAMS))
    call.does(5, Act.INDUCTION, tie="induction-1")
    call.does(11, Act.TUBE, technique=VIDEO_LARYNGOSCOPE, tie="tube-1")
    call.confirms(12, TRACHEAL_TUBE, BY_WAVEFORM, of="tube-1")
    call.filter_charted("tube-1")
    call.all_protected()
    call.reads({2: 92, 20: 100, 30: 100})
    attempts = _row("met", "The induction does not count beside a tube row; one row of count 1.", amount=1)
    exempt = "100 stands above 96, but 0-16 surrounds the placement and the tube lasts to the end: nothing is judged."
    oxygen = Row(OXYGEN, "excluded", exempt, "exempt")
    return _planted(call, attempts, oxygen)


def _double_entry() -> Planted:
    call = _call("a partner's double entry", "Ostrel 13", local(2026, 1, 30, 1, 45))
    call.does(6, Act.TUBE, technique=VIDEO_LARYNGOSCOPE)
    call.does(7, Act.TUBE, call.partner, technique=VIDEO_LARYNGOSCOPE)
    working = "The same code 1 min later with the same success, by another member: a conflict, lower bound 1."
    return _planted(call, _row("cannot_tell", working, "chart_conflict", 1))


def _dislodged_tube() -> Planted:
    call = _call("a dislodged tube", "Ostrel 3", local(2026, 2, 2, 17, 40))
    call.left, call.arrived = 32, 50
    call.does(6, Act.TUBE, technique=VIDEO_LARYNGOSCOPE)
    call.does(14, Act.BAG_ON_TUBE)
    call.does(26, Act.TUBE, technique=VIDEO_LARYNGOSCOPE)
    call.airway_complications = (TUBE_DISLODGED,)
    working = "The success at 6 closes a sequence; a dislodgement is recorded, so 26 opens another: the larger is 1."
    return _planted(call, _row("met", working, amount=1))


def _two_attempts() -> Planted:
    call = _call("two attempts in one entry", "Ostrel 1", local(2026, 2, 19, 12, 25))
    call.does(6, Act.TUBE, attempts=2, technique=DIRECT_LARYNGOSCOPE)
    return _planted(call, _row("not_met", "One row of count 2: at least two attempts.", amount=2))


def _running_numbers() -> Planted:
    call = _call("attempts by running number", "Ostrel 11", local(2026, 2, 24, 8, 55))
    call.does(5, Act.TUBE, attempts=1, success=False, technique=DIRECT_LARYNGOSCOPE)
    call.does(9, Act.TUBE, attempts=2, success=False, technique=VIDEO_LARYNGOSCOPE)
    call.does(12, Act.SUPRAGLOTTIC)
    working = "Counts of exactly 1 and 2 are running numbers: two in all, not three; the supraglottic is no attempt."
    return _planted(call, _row("not_met", working, amount=2))


def _count_not_charted() -> Planted:
    call = _call("attempts not charted", "Ostrel 13", local(2026, 3, 19, 22, 30))
    call.does(6, Act.TUBE, attempts=None)
    working = "An empty count stands as 1, a lower bound; whether it was more the report does not say."
    return _planted(call, _row("cannot_tell", working, "not_documented", 1))


def _confirmed_without_a_row() -> Planted:
    call = _call("a confirmed tube without an entry", "Ostrel 1", local(2026, 3, 23, 19, 20))
    call.confirms(8, TRACHEAL_TUBE, BY_WAVEFORM)
    working = "A tube is confirmed, nobody's placement is charted, and the call is no transfer."
    return _planted(call, _row("cannot_tell", working, "not_documented"))


def _student_at_the_tube() -> Planted:
    call = _call("a student at the tube", "Ostrel 6", local(2026, 3, 26, 11, 10))
    student = students()[0].on_call(CrewRole.HELPS_AT_SCENE, CrewRole.HELPS_IN_TRANSPORT)
    call = replace(call, crew=(*call.crew, student), equipment=[], own_results=list(call.own_results))
    call.all_protected()
    call.does(6, Act.TUBE, student, technique=VIDEO_LARYNGOSCOPE)
    later = Row(
        "no-student-at-the-tube",
        "not_met",
        "The performer's role on the tube's row is student.",
        waits_for="the rulebook's rule on students at the tube",
    )
    rows = (_row("met", "One row of count 1.", amount=1), later, *protected(LEAD, PARTNER, STUDENT), FILTERED)
    return Planted(call.name, call.case(), rows)
