"""How crews chart: equipment, oxygen and its readings, the filter. Care is the same on every vehicle."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from qa_audit.demo.call import PROTECTED, STEADY, Call
from qa_audit.demo.ordinary.draw import Draw
from qa_audit.demo.vocabulary import CarbonDioxide, Effort, Route, Wear

OWN_LISTS, LEAD_CHARTS, ONE_LIST, SELDOM = "own lists", "the lead charts", "one list", "seldom"
HABITS = {
    "Ostrel 1": OWN_LISTS,
    "Ostrel 3": OWN_LISTS,
    "Ostrel 6": ONE_LIST,
    "Ostrel 8": LEAD_CHARTS,
    "Ostrel 11": OWN_LISTS,
    "Ostrel 13": SELDOM,
}
"""Who charts the equipment lists on which vehicle: a habit of charting, which must not look like a habit of care."""

Saturations = Mapping[float, int | None]
HIGHEST = 100

IN_DISTRESS = replace(STEADY, heart_rate=112, systolic=146, diastolic=84, breaths=28, effort=Effort.LABORED)


def equipment(call: Call, draw: Draw, *, near_aerosol: bool) -> None:
    """Chart what was worn, by the vehicle's habit; near an aerosol procedure mostly a respirator."""
    habit = HABITS.get(call.vehicle, OWN_LISTS)
    if draw.chance(0.75 if habit == SELDOM else 0.12):
        return
    if habit == OWN_LISTS:
        for member in call.crew:
            call.wears(member, *_worn(draw, near_aerosol=near_aerosol))
        return
    call.wears(None if habit == ONE_LIST else call.lead, *_worn(draw, near_aerosol=near_aerosol))


def _worn(draw: Draw, *, near_aerosol: bool) -> tuple[Wear, ...]:
    gloves, masked = (Wear.GLOVES,), (Wear.GLOVES, Wear.SURGICAL_MASK)
    if near_aerosol:
        return draw.by_share(((0.1, masked), (0.1, gloves)), otherwise=PROTECTED)
    return draw.by_share(((0.3, masked),), otherwise=gloves)


def before_oxygen(draw: Draw) -> int:
    """Return a saturation that calls for oxygen."""
    return 84 + draw.below(8)


def oxygen_course(call: Call, draw: Draw, ceiling: int) -> None:
    """Chart one course of oxygen from minute 0 to arrival, with its readings; most stay within the target.

    `ceiling` is what the course aims below; the rule that judges it has its own.
    """
    end = int(call.arrived or 30)
    minutes = list(range(6 + draw.below(3), end, 7 + draw.below(3)))
    device, flow = (Route.CANNULA, 2 + draw.below(3)) if draw.chance(0.6) else (Route.NON_REBREATHER, 12)
    tie = "oxygen-1" if draw.chance(0.3) else None
    call.oxygen(0, device, flow, tie)
    call.reads({-3: before_oxygen(draw)}, IN_DISTRESS)
    course = draw.by_share(
        ((0.14, _too_high), (0.15, _turned_down), (0.09, _unread), (0.07, _read_once)), otherwise=_steady
    )
    call.reads(course(call, draw, ceiling, minutes), IN_DISTRESS)
    if tie:
        call.oxygen_off(end, tie)


def _too_high(_call: Call, draw: Draw, ceiling: int, minutes: list[int]) -> Saturations:
    return {minute: min(HIGHEST, ceiling + 2 + draw.below(2)) for minute in minutes}


def _turned_down(call: Call, draw: Draw, ceiling: int, minutes: list[int]) -> Saturations:
    """Come down to the lowest flow three minutes after the first reading, which stands too high."""
    first, *others = minutes
    call.oxygen(first + 3, Route.CANNULA, 1)
    return {first: min(HIGHEST, ceiling + 2), **{minute: ceiling - 1 - draw.below(2) for minute in others}}


def _unread(_call: Call, _draw: Draw, _ceiling: int, minutes: list[int]) -> Saturations:
    return dict.fromkeys(minutes[:2])


def _read_once(_call: Call, _draw: Draw, ceiling: int, minutes: list[int]) -> Saturations:
    return {minutes[0]: ceiling + 1}


def _steady(_call: Call, draw: Draw, ceiling: int, minutes: list[int]) -> Saturations:
    return {minute: ceiling - 1 - draw.below(4) for minute in minutes}


def end_tidal(draw: Draw) -> tuple[str, CarbonDioxide | None]:
    """Return an end-tidal value as monitors export it: in one of three units, or without saying which."""
    unit = draw.by_share(
        ((0.6, CarbonDioxide.MMHG), (0.2, CarbonDioxide.PERCENT), (0.1, CarbonDioxide.KPA)), otherwise=None
    )
    if unit in (CarbonDioxide.PERCENT, CarbonDioxide.KPA):
        return f"{(42 + draw.below(15)) / 10:.1f}", unit
    return str(32 + draw.below(14)), unit


def filter_of(call: Call, draw: Draw, tie: str) -> None:
    """Chart the filter in the agency's own element, as on most calls with a bag or a supraglottic airway."""
    in_line = draw.by_share(((0.68, True), (0.12, False)), otherwise=None)
    if in_line is not None:
        call.filter_charted(tie, in_line=in_line)
