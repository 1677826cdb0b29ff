"""Ordinary calls of the invented service, drawn from a seed: the same seed gives the same calls."""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta

from qa_audit.demo import complaints
from qa_audit.demo.call import Call
from qa_audit.demo.case import Case, Patient, Reading
from qa_audit.demo.ordinary import airways, breathing, everyday
from qa_audit.demo.ordinary.draw import Draw
from qa_audit.demo.service import SAMPLE_VEHICLES, local

Scenario = Callable[[Call, Draw], None]

SHARES: tuple[tuple[float, Scenario], ...] = (
    (0.10, breathing.infection),
    (0.08, breathing.obstructive),
    (0.04, breathing.asthma),
    (0.06, breathing.heart_failure),
    (0.08, breathing.chest_pain),
    (0.02, breathing.unclear_flow),
    (0.06, airways.overdose),
    (0.10, airways.arrest),
    (0.07, airways.failing_breath),
    (0.04, airways.on_a_ventilator),
    (0.27, everyday.everyday),
    (0.05, everyday.refused),
    (0.03, everyday.cancelled),
)
"""How often each kind of call comes; airways are over-represented on purpose."""

BUSY_FROM, BUSY_HOURS = 7, 16
SECONDS_KEPT = 0.25
"""Share of calls whose readings come from a monitor, to the second; everything else is charted to the minute."""


def calls(seed: int, month: str, count: int) -> tuple[Case, ...]:
    """Return the ordinary calls of a month (`2026-01`), each drawn by itself, so that one more changes no other."""
    return tuple(_drawn(Draw(f"{seed} {month} {number}"), month, number) for number in range(1, count + 1))


def _drawn(draw: Draw, month: str, number: int) -> Case:
    vehicle = draw.one_of(SAMPLE_VEHICLES)
    patient = Patient(20 + draw.below(70), sex="9919001" if draw.chance(0.5) else "9919003")
    call = Call(f"{month} ordinary {number}", vehicle, _moment(draw, month), complaints.UNKNOWN, patient)
    call.left = 12.0 + draw.below(10)
    call.arrived = call.left + 10 + draw.below(18)
    call.notified = -14.0 - draw.below(12)
    draw.by_share(SHARES, otherwise=everyday.everyday)(call, draw)
    call.medications.sort(key=lambda medication: (medication.at is None, medication.at))
    if draw.chance(SECONDS_KEPT):
        call.readings = [_to_the_second(reading, draw) for reading in call.readings]
    if draw.chance(0.03):
        call.written_at_offset = timedelta()
    if draw.chance(0.5):
        call.narrative = None
    return call.case()


def _moment(draw: Draw, month: str) -> datetime:
    """Return a local moment, more often by day, never in the hours that reach into another month or skip an hour."""
    year, number = (int(part) for part in month.split("-"))
    day = 1 + draw.below(monthrange(year, number)[1])
    by_day = draw.chance(0.8)
    hour = BUSY_FROM + draw.below(BUSY_HOURS) if by_day else 4 + draw.below(3)
    return local(year, number, day, hour, draw.below(60))


def _to_the_second(reading: Reading, draw: Draw) -> Reading:
    return reading if reading.at is None else replace(reading, at=reading.at + timedelta(seconds=1 + draw.below(58)))
