"""Windows in which a high saturation is nobody's fault; facts of anyone open them."""

from __future__ import annotations

from typing import Any

from oracle.model import MINUTE
from oracle.therapy import in_force_last, instants
from oracle.view import Seen, View

FOREVER = 1 << 62
PLACEMENTS = ("supraglottic", "intubation")

KEEPS_NO_END = ("oxygen_by_tube", "oxygen_by_tracheostomy")
"""A tube or tracheostomy route ends no window."""
LASTING = {
    "bag_valve_mask": ("oxygen_by_bag_valve_mask", *KEEPS_NO_END),
    "tube_ventilation": KEEPS_NO_END,
    "cpap": ("oxygen_by_cpap", "oxygen_by_nebulizer", *KEEPS_NO_END),
    "bipap": ("oxygen_by_nebulizer", *KEEPS_NO_END),
    "ventilator": KEEPS_NO_END,
}
"""What opens a window until another device, and the devices that are not another."""

Window = tuple[int, int]


def resuscitation(view: View, rule: dict[str, Any]) -> tuple[list[Window], bool]:
    """Return the window of a resuscitation, and whether one was tried whose start cannot be told."""
    starts = timed(view, ("cpr_procedure", "cpr_started_time", "arrest_time"))
    if not starts:
        return [], bool(view.of("resuscitation"))
    start = min(starts)
    ended = max(timed(view, ("resuscitation_ended_time",)), default=None)
    by_circulation = bool(view.of("cpr_ended_by_circulation")) or not view.of("cpr_ended")
    if ended is None or ended < start or not view.of("return_of_circulation") or not by_circulation:
        return [(start, FOREVER)], False
    return [(start, ended + rule["after_return"] * MINUTE)], False


def timed(view: View, concepts: tuple[str, ...]) -> list[int]:
    """Return the times of anyone's facts of some concepts."""
    return [seen.time for concept in concepts for seen in view.of(concept) if seen.time is not None]


def windows(view: View, rule: dict[str, Any]) -> list[Window]:
    """Return every exempt window, closed at the start and open at the end."""
    found, _ = resuscitation(view, rule)
    placed = timed(view, ("intubation", "induction"))
    if placed:
        found.append((min(placed) - rule["before_placing"] * MINUTE, max(placed) + rule["after_placing"] * MINUTE))
    found += [(time, time + rule["nebulizer_lasts"] * MINUTE) for time in timed(view, ("nebulizer",))]
    for concept, same in LASTING.items():
        for seen in view.of(concept):
            if seen.time is not None and counts_as(concept, seen):
                found.append((seen.time, next_other_device(view, rule, seen.time, same)))
    return found


def counts_as(concept: str, seen: Seen) -> bool:
    """Whether a fact of ventilation of a tube is one: an induction is not, nor a placement that did not succeed."""
    if concept != "tube_ventilation":
        return True
    if "induction" in seen.concepts:
        return False
    return not (seen.fact.success is False and any(name in seen.concepts for name in PLACEMENTS))


def next_other_device(view: View, rule: dict[str, Any], after: int, same: tuple[str, ...]) -> int:
    """Return when this crew's oxygen next goes by another known device; at one instant the one in force."""
    for time, instant in instants(view, rule, view.ours(rule["therapy"])).items():
        named = [row.device for row in in_force_last(instant, rule) if row.device is not None]
        if time > after and named and named[-1] not in same:
            return time
    return FOREVER
