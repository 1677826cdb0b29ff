"""Planted cases around the noon at which the ceiling for suspected infection goes from 96 to 94.

Each is the same call: 96 at minutes 10 and 25 on a cannula at 3 L/min, arrival at 40. Under 96 nothing stands above
(met, 0); under 94 both stand at +2 from 10 to 30, when time is only assumed (not met, 20).
"""

from __future__ import annotations

from collections.abc import Iterator

from qa_audit.demo import complaints
from qa_audit.demo.call import Call
from qa_audit.demo.planted.row import OXYGEN, Planted, Row
from qa_audit.demo.service import local
from qa_audit.demo.vocabulary import Route

SECOND_EDITION_FROM = local(2026, 2, 17, 12, 0)
"""Local wall-clock time, as the edition's file has it."""


def cases() -> Iterator[Planted]:
    """Yield the call before, across (twice) and after the hour."""
    before = Row(OXYGEN, "met", "Begun at 09:30: the base edition, ceiling 96.", amount=0)
    yield _call("before the changeover hour", "Ostrel 1", (9, 30), before)
    spanning = Row(OXYGEN, "met", "Begun at 11:50, goes on after noon: one therapy, the kinder of 96 and 94.", amount=0)
    yield _call("oxygen running through the changeover hour", "Ostrel 6", (11, 50), spanning)
    across = Row(
        OXYGEN, "met", "Notified 11:40, begun 12:10: the edition of 11:40 answers too and is kinder.", amount=0
    )
    yield _call("a call across the changeover hour", "Ostrel 8", (12, 10), across, notified=-30)
    after = Row(OXYGEN, "not_met", "Notified and begun after noon: the second edition alone, ceiling 94.", amount=20)
    yield _call("after the changeover hour", "Ostrel 13", (14, 0), after)


def _call(name: str, vehicle: str, clock: tuple[int, int], row: Row, notified: float = -20) -> Planted:
    start = SECOND_EDITION_FROM.replace(hour=clock[0], minute=clock[1])
    call = Call(name, vehicle, start, complaints.INFLUENZA, notified=notified)
    call.oxygen(0, Route.CANNULA, 3)
    call.reads({-4: 90, 10: 96, 25: 96})
    return Planted(name, call.case(), (row,))
