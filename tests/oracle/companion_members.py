"""Kind `companion`, for members: does each member's equipment list hold what an anchor needs."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Any

from oracle.clock import local_date
from oracle.model import Opportunity
from oracle.view import Seen, View

PLACED_OR_BAGGED = ("airway_placement", "bag_valve_mask")
CLOSED_CIRCUITS = ("ventilator", "mechanically_assisted")
STATE = "mechanically_assisted"


@dataclass
class EquipmentList:
    """One equipment group with at least one item."""

    member: str | None
    items: list[Seen] = field(default_factory=list)


def opportunities(view: View, rule: dict[str, Any]) -> list[Opportunity]:
    """Return one opportunity for each member, or one without member."""
    standing = anchors(view, view.ours(rule["anchor"]))
    in_conflict = anchors(view, view.ours_in_conflict(rule["anchor"]))
    if not standing and not in_conflict:
        return []
    times = sorted(seen.time for seen in standing or in_conflict if seen.time is not None)
    time = times[0] if times else None
    lists = equipment_lists(view, rule)
    found = []
    for member in members(view, lists):
        if not standing:
            outcome: tuple[str, str | None] = ("cannot_tell", "chart_conflict")
        elif only_drove(view, rule, member, standing):
            outcome = ("excluded", "not_present")
        else:
            outcome = judged(view, rule, member, lists)
        found.append(Opportunity(time, *outcome, member=member, touches=tuple(times)))
    return found


def anchors(view: View, found: list[Seen]) -> list[Seen]:
    """Leave out circuits this crew never opened, and all but the first reading of a state."""
    opened = any(view.ours(concept) for concept in PLACED_OR_BAGGED)
    kept = [seen for seen in found if opened or not seen.direct & set(CLOSED_CIRCUITS)]
    states = [seen for seen in kept if STATE in seen.direct]
    first = min(states, key=lambda seen: (seen.time is None, seen.time or 0), default=None)
    return [seen for seen in kept if STATE not in seen.direct or seen is first]


def members(view: View, lists: list[EquipmentList]) -> list[str | None]:
    """Return the crew list's ids, else the equipment lists' ids, else one row without member."""
    listed = [entry.member for entry in view.report.members if entry.member is not None]
    named = [one.member for one in lists if one.member is not None]
    ids = sorted(set(listed or named))
    return [*ids] if ids else [None]


def only_drove(view: View, rule: dict[str, Any], member: str | None, standing: list[Seen]) -> bool:
    """Whether a member did nothing but drive, and every anchor lies between leaving the scene and arrival."""
    roles = {f"eCrew.03={role}" for one in view.report.members if one.member == member for role in one.roles}
    direct = view.concepts.direct
    if member is None or not roles & direct[rule["drives"]] or roles & direct[rule["cares"]]:
        return False
    left, arrived = view.report.left_scene, view.report.at_destination
    if left is None or arrived is None:
        return False
    return all(seen.time is not None and left <= seen.time <= arrived for seen in standing)


def equipment_lists(view: View, rule: dict[str, Any]) -> list[EquipmentList]:
    """Return every equipment group that holds at least one item; one without call group by its member."""
    found: dict[object, EquipmentList] = {}
    for seen in view.standing:
        if not is_item(seen, rule):
            continue
        group = seen.fact.call_group
        key = ("member", seen.fact.member) if group is None else ("group", group)
        one = found.setdefault(key, EquipmentList(None))
        one.items.append(seen)
        one.member = one.member or seen.fact.member
    for seen in view.standing:
        unmapped = seen.fact.origin == "custom" and not seen.direct
        if unmapped and ("group", seen.fact.call_group) in found:
            found["group", seen.fact.call_group].items.append(seen)
    return list(found.values())


def is_item(seen: Seen, rule: dict[str, Any]) -> bool:
    """Whether a fact is an item of an equipment list: present, negated, or one whose code cannot be read."""
    if not any(concept in seen.concepts for concept in rule["lists"]):
        return False
    return seen.fact.status != "missing" or seen.fact.why == "unknown_code"


def judged(view: View, rule: dict[str, Any], member: str | None, lists: list[EquipmentList]) -> tuple[str, str | None]:
    """Judge one member by their own list, else by a list that may speak for all."""
    own = [seen for one in lists if one.member == member and member is not None for seen in one.items]
    if own:
        return by_list(view, rule, own)
    for one in speaking_for_all(view, lists):
        if by_list(view, rule, one.items) == ("met", None):
            return "met", None
    return "cannot_tell", "not_documented"


def speaking_for_all(view: View, lists: list[EquipmentList]) -> list[EquipmentList]:
    """Return the lists that speak for everybody when they satisfy."""
    if reached(view, view.settings.crew_list_from):
        return lists
    return lists if len(lists) == 1 and lists[0].member is None else []


def by_list(view: View, rule: dict[str, Any], items: list[Seen]) -> tuple[str, str | None]:
    """Judge one list."""
    present = {concept for seen in items if seen.fact.status == "present" for concept in seen.concepts}
    negated = {concept for seen in items if seen.fact.status == "negated" for concept in seen.concepts}
    if present & {rule["needed"], *rule["accepted"]}:
        return "met", None
    if rule["is_face_item"]:
        unreadable = any(seen.fact.status == "missing" or not seen.direct for seen in items)
        if unreadable or present & set(rule["unclear"]):
            return "cannot_tell", "list_incomplete"
        if present & set(rule["face_coverings"]):
            return "not_met", None
    if rule["needed"] in negated or reached(view, view.settings.lists_complete_from):
        return "not_met", None
    return "cannot_tell", "list_incomplete"


def reached(view: View, since: date | None) -> bool:
    """Whether a setting's date has come on the local day of the call."""
    return since is not None and local_date(view.report, view.report.unit_notified) >= since
