"""The checks once more, in plain Python over rows: no polars expression, no great-expectations, nothing imported.

Each function gets one report (its columns, facts, members, remarks) and gives true (holds), false (fails) or null
(not asked).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import timedelta
from typing import Any
from zoneinfo import ZoneInfo

from gate.building import CONCEPTS

Row = dict[str, Any]
ZONE = "America/Chicago"
SLACK = timedelta(minutes=2)
TREATMENTS = ("eMedications.", "eProcedures.", "eAirway.")
EARLIER_MILESTONES = ("psap_call", "unit_notified", "en_route", "on_scene", "at_patient", "left_scene")


@dataclass(frozen=True)
class Chart:
    columns: Row
    facts: list[Row]
    members: list[Row]
    remarks: list[str]
    undefined: set[str]

    def concept(self, *names: str) -> list[Row]:
        return [row for row in self.facts if any(row["item"] in CONCEPTS[name] for name in names)]

    def done(self, *names: str) -> list[Row]:
        return [row for row in self.concept(*names) if row["status"] == "present" and row["by_others"] is not True]

    def ours(self, *elements: str) -> list[Row]:
        mine = [row for row in self.facts if row["by_others"] is not True and row["status"] != "negated"]
        return [row for row in mine if row["item"].startswith(elements)]


def all_of(answers: Iterable[bool]) -> bool | None:
    asked = list(answers)
    return all(asked) if asked else None


def recorded_when(when: str, name: str) -> Callable[[Chart], bool | None]:
    return lambda chart: chart.columns[name] is not None if chart.columns[when] else None


def in_order(later: str, earlier: str, when: str | None = None) -> Callable[[Chart], bool | None]:
    def check(chart: Chart) -> bool | None:
        one, other = chart.columns[later], chart.columns[earlier]
        if one is None or other is None or (when and not chart.columns[when]):
            return None
        return bool(one >= other)

    return check


def timed(element: str) -> Callable[[Chart], bool | None]:
    return lambda chart: all_of(row["time"] is not None for row in chart.ours(element) if row["status"] == "present")


def after_notified(*elements: str) -> Callable[[Chart], bool | None]:
    def check(chart: Chart) -> bool | None:
        start = chart.columns["unit_notified"]
        rows = [row for row in chart.ours(*elements) if row["time"] and start]
        return all_of(row["time"] >= start - SLACK for row in rows)

    return check


def before_service(*elements: str) -> Callable[[Chart], bool | None]:
    def check(chart: Chart) -> bool | None:
        end = chart.columns["back_in_service"]
        rows = [row for row in chart.ours(*elements) if row["time"] and end]
        return all_of(row["time"] <= end + SLACK for row in rows)

    return check


def saturation_with_oxygen(chart: Chart) -> bool | None:
    if not chart.done("oxygen"):
        return None
    read = any(row["value"] is not None for row in chart.done("oxygen_saturation"))
    excused = any(
        row["why"] in {"refused", "unable", "finding_not_present"} for row in chart.concept("oxygen_saturation")
    )
    return read or excused


def drugs(chart: Chart) -> list[Row]:
    return [row for row in chart.done("oxygen") if row["item"].startswith("eMedications.")]


def device_recorded(chart: Chart) -> bool | None:
    routes = [row for row in chart.facts if row["item"].startswith("eMedications.04=") and row["status"] == "present"]
    named = {row["call_group"] for row in routes} - {None}
    return all_of(row["call_group"] in named for row in drugs(chart))


def airway_section(chart: Chart) -> bool | None:
    if chart.columns["subset"] != "full" or not chart.done("intubation", "supraglottic"):
        return None
    return any(row["item"].startswith("eAirway.") and row["status"] != "missing" for row in chart.facts)


def flows(chart: Chart) -> list[Row]:
    return [row for row in chart.done("oxygen") if row["value"] is not None and row["unit"] in {None, "L/min"}]


def through(chart: Chart, device: str) -> list[float]:
    """The flows of a device, the slow way: look at each flow and ask which device it ran through."""
    running, devices = flows(chart), chart.done(device)
    flow_groups = {row["call_group"] for row in running} - {None}
    device_groups = {row["call_group"] for row in devices} - {None}
    named = {row["call_group"] for row in chart.done(*(name for name in CONCEPTS if name.startswith("oxygen_by_")))} - {
        None
    }
    alone = {row["time"] for row in devices if row["call_group"] not in flow_groups and row["time"] is not None}
    return [
        row["value"]
        for row in running
        if row["call_group"] in device_groups or (row["call_group"] not in named and row["time"] in alone)
    ]


def cannula(chart: Chart) -> bool | None:
    if any(row["status"] == "present" for row in chart.concept("intubation", "induction")):
        return None
    return all_of(flow <= 6 for flow in through(chart, "oxygen_by_cannula"))


def equipment(chart: Chart) -> bool | None:
    listed = {row["member"] for row in chart.members} - {None}
    worn = [row for row in chart.facts if row["item"].startswith("eOther.03") and row["member"] is not None]
    return all_of(row["member"] in listed for row in worn) if listed else None


def confirmed(chart: Chart) -> list[Row]:
    return [row for row in chart.concept("airway_confirmed") if row["status"] == "present"]


def confirmed_code(chart: Chart) -> bool | None:
    groups = {row["call_group"] for row in confirmed(chart)} - {None}
    named = [row for row in chart.facts if row["item"].startswith("eProcedures.03=") and row["call_group"] in groups]
    return all_of(row["item"] in CONCEPTS["intubation"] | CONCEPTS["induction"] for row in named)


def not_doubled(chart: Chart) -> bool | None:
    names = ("item", "time", "value", "unit", "count", "success", "member", "status")
    groups: dict[int, list[str]] = {}
    with_time = {row["call_group"] for row in chart.facts if row["time"] is not None} - {None}
    for row in chart.facts:
        if row["call_group"] in with_time:
            groups.setdefault(row["call_group"], []).append(repr([row[name] for name in names]))
    return not any(n > 1 for n in Counter(tuple(sorted(rows)) for rows in groups.values()).values()) if groups else None


def not_contradictory(chart: Chart) -> bool | None:
    timed_rows = [row for row in chart.facts if row["time"] is not None]
    done = {(row["item"], row["time"]) for row in timed_rows if row["status"] == "present"}
    return all_of((row["item"], row["time"]) not in done for row in timed_rows if row["status"] == "negated")


def offset(chart: Chart) -> bool | None:
    own, notified = chart.columns["offset_minutes"], chart.columns["unit_notified"]
    if own is None or notified is None:
        return None
    expected = notified.astimezone(ZoneInfo(ZONE)).utcoffset()
    return bool(expected == timedelta(minutes=own))


def back_last(chart: Chart) -> bool | None:
    end = chart.columns["back_in_service"]
    names = (*EARLIER_MILESTONES, "at_destination", "transfer_of_care")
    return all_of(chart.columns[name] <= end for name in names if chart.columns[name]) if end else None


def within_a_day(chart: Chart) -> bool | None:
    end, start = chart.columns["back_in_service"], chart.columns["unit_notified"]
    return bool(end - start <= timedelta(hours=24)) if end and start else None


def own_defined(chart: Chart) -> bool | None:
    used = [row["item"].removeprefix("custom:").split("=")[0] for row in chart.facts if row["origin"] == "custom"]
    return all_of(name not in chart.undefined for name in used)


def valued(chart: Chart, *concepts: str) -> list[Row]:
    return [row for row in chart.done(*concepts) if row["value"] is not None]


CHECKS: dict[str, Callable[[Chart], bool | None]] = {
    "vehicle_recorded": lambda chart: chart.columns["ems_unit"] is not None,
    "patient_contact_time_recorded": recorded_when("patient_contact", "at_patient"),
    "arrival_time_recorded": recorded_when("transported", "at_destination"),
    "hand_over_time_recorded": recorded_when("transported", "transfer_of_care"),
    "age_recorded": recorded_when("care_provided", "age_years"),
    "vital_signs_timed": timed("eVitals."),
    "medications_timed": timed("eMedications."),
    "procedures_timed": timed("eProcedures."),
    "saturation_with_oxygen": saturation_with_oxygen,
    "oxygen_flow_recorded": lambda chart: all_of(row["value"] is not None for row in drugs(chart)),
    "oxygen_flow_has_unit": lambda c: all_of(row["unit"] is not None for row in drugs(c) if row["value"] is not None),
    "oxygen_device_recorded": device_recorded,
    "tube_attempts_recorded": lambda chart: all_of(row["count"] is not None for row in chart.done("intubation")),
    "tube_success_recorded": lambda chart: all_of(row["success"] is not None for row in chart.done("intubation")),
    "airway_section_with_tube": airway_section,
    "crew_listed": lambda chart: (
        bool(chart.members) if chart.columns["subset"] == "full" and chart.columns["patient_contact"] else None
    ),
    "crew_entries_have_ids": lambda chart: all_of(row["member"] is not None for row in chart.members),
    "saturations_possible": lambda chart: all_of(
        0 <= row["value"] <= 100 for row in chart.concept("oxygen_saturation") if row["value"] is not None
    ),
    "doses_possible": lambda chart: all_of(
        row["value"] >= 0 for row in chart.facts if row["item"].startswith("eMedications.") and row["value"] is not None
    ),
    "saturation_not_too_low": lambda chart: all_of(row["value"] >= 50 for row in valued(chart, "oxygen_saturation")),
    "oxygen_unit_is_flow": lambda chart: all_of(
        row["unit"] == "L/min" for row in valued(chart, "oxygen") if row["unit"]
    ),
    "oxygen_flow_possible": lambda chart: all_of(row["value"] <= 60 for row in flows(chart)),
    "cannula_flow_plausible": cannula,
    "simple_mask_flow_plausible": lambda c: all_of(f >= 5 for f in through(c, "oxygen_by_simple_mask") if f > 0),
    "non_rebreather_flow_plausible": lambda c: all_of(f >= 10 for f in through(c, "oxygen_by_non_rebreather") if f > 0),
    "attempts_plausible": lambda c: all_of(
        row["count"] <= 5 for row in c.done("intubation") if row["count"] is not None
    ),
    "carbon_dioxide_has_unit": lambda chart: all_of(
        row["unit"] is not None for row in chart.ours("eVitals.16") if row["value"] is not None
    ),
    "age_in_one_top_group": lambda c: None if c.columns["age_years"] is None else 0 <= c.columns["age_years"] <= 90,
    "notified_after_call": in_order("unit_notified", "psap_call"),
    "en_route_after_notified": in_order("en_route", "unit_notified"),
    "on_scene_after_en_route": in_order("on_scene", "en_route"),
    "left_after_patient_contact": in_order("left_scene", "at_patient"),
    "arrived_after_leaving": in_order("at_destination", "left_scene"),
    "handed_over_after_arrival": in_order("transfer_of_care", "at_destination", "transported"),
    "back_in_service_last": back_last,
    "call_within_a_day": within_a_day,
    "vital_signs_after_notified": after_notified("eVitals."),
    "vital_signs_before_back_in_service": before_service("eVitals."),
    "treatments_after_notified": after_notified(*TREATMENTS),
    "treatments_before_back_in_service": before_service(*TREATMENTS),
    "offset_fits_time_zone": offset,
    "equipment_members_on_crew_list": equipment,
    "confirmed_tube_has_procedure": lambda chart: (
        any(row["status"] == "present" for row in chart.concept("intubation", "induction"))
        if confirmed(chart)
        else None
    ),
    "confirmed_tube_code_known": confirmed_code,
    "groups_not_doubled": not_doubled,
    "entries_not_contradictory": not_contradictory,
    "own_elements_defined": own_defined,
    "unknown_code": lambda chart: "unknown_code" not in chart.remarks,
    "not_a_number": lambda chart: "not_a_number" not in chart.remarks,
    "nothing_else_noticed": lambda chart: "something_new" not in chart.remarks,
}
