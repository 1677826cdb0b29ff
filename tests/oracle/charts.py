"""Small charts for the oracle's own tests: one report around 10:00 on an invented day."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

from oracle.first_edition import FIRST
from oracle.judge import judge
from oracle.model import Determination, Edition, Fact, Mapping, Member, Report, Settings

DAY = datetime(2026, 1, 20, tzinfo=UTC)

CUSTOM = Settings(
    custom={
        "svc.filter": Mapping("viral_filter", {"1": "present", "0": "negated"}),
        "svc.oxygenOff": Mapping("oxygen_stopped", None),
        "svc.face": Mapping("respirator", {"1": "present", "0": "negated"}),
        "svc.tubeOut": Mapping("extubation", {"1": "present"}),
    }
)

INFECTION = Fact(900, 1, "eSituation.11=J18.9")
ROUTES = {
    "blow_by": "9927001",
    "cannula": "9927025",
    "venturi": "9927057",
    "rebreather": "9927041",
    "mask": "9927031",
    "bag": "9927065",
    "cpap": "9927067",
    "nebulizer": "9927071",
    "tube": "9927005",
    "inhalation": "9927009",
}


def at(clock: str | None) -> int | None:
    """Return an instant from `10:05` or `10:05:30`."""
    return None if clock is None else moment(clock)


def moment(clock: str, day: datetime = DAY) -> int:
    """Return an instant from a clock time on a day."""
    hours, minutes, *seconds = (int(part) for part in clock.split(":"))
    return round(day.timestamp() * 1000) + ((hours * 60 + minutes) * 60 + sum(seconds)) * 1000


def oxygen(clock: str | None, flow: float | None = None, route: str | None = None, **more: Any) -> list[Fact]:
    """Return an oxygen entry, with the fact of its route in the same group."""
    group = more.pop("group", None)
    if group is None:
        group = 50 if clock is None else (moment(clock) // 1000) % 60_000
    entry = Fact(1, 1, "eMedications.03=7806", at(clock), flow, "L/min", call_group=group)
    facts = [replace(entry, **more)]
    if route is not None:
        aside = {key: value for key, value in more.items() if key in ("by_others", "status", "member")}
        facts.append(replace(Fact(2, 1, f"eMedications.04={ROUTES[route]}", at(clock), call_group=group), **aside))
    return facts


def spo2(clock: str | None, value: float | None, **more: Any) -> Fact:
    """Return a saturation entry; without a value it stands empty."""
    fact = Fact(3, 1, "eVitals.12", at(clock), value, "%", status="missing" if value is None else "present")
    return replace(fact, **more)


def procedure(code: str, clock: str | None = None, **more: Any) -> Fact:
    """Return a procedure entry."""
    return replace(Fact(4, 1, f"eProcedures.03={code}", at(clock)), **more)


def custom(item: str, clock: str | None = None, **more: Any) -> Fact:
    """Return an agency's own result."""
    return replace(Fact(5, 1, f"custom:{item}", at(clock), origin="custom"), **more)


def worn(code: str, member: str | None = None, group: int = 700, **more: Any) -> Fact:
    """Return an item of an equipment list."""
    return replace(Fact(6, 1, f"eOther.03={code}", member=member, call_group=group), **more)


def chart(*facts: Fact | list[Fact], crew: list[Member] | None = None, **more: Any) -> Report:
    """Return a report: notified 9:40, at the patient 9:50, left 10:20, arrived 10:40, handed over 10:50."""
    flat = [one for given in facts for one in (given if isinstance(given, list) else [given])]
    report = Report(
        1,
        unit_notified=moment("9:40"),
        at_patient=moment("9:50"),
        left_scene=moment("10:20"),
        at_destination=moment("10:40"),
        transfer_of_care=moment("10:50"),
        age_years=60,
        transported=True,
        facts=tuple(replace(fact, fact=number) for number, fact in enumerate(flat)),
        members=tuple(crew or ()),
    )
    return replace(report, **more)


def ask(
    report: Report, rule: str, settings: Settings = CUSTOM, editions: list[Edition] | None = None
) -> list[Determination]:
    """Return the oracle's rows for one rule."""
    return [row for row in judge([report], editions or [FIRST], settings) if row.rule == rule]


def said(
    report: Report, rule: str, settings: Settings = CUSTOM, editions: list[Edition] | None = None
) -> tuple[Any, ...]:
    """Return outcome, reason and amount of the only row."""
    (row,) = ask(report, rule, settings, editions)
    return row.outcome, row.reason, row.amount
