"""Oxygen therapies of a report: when each starts, pauses, changes and ends."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from oracle.model import MINUTE, Report, exact
from oracle.view import Seen, View

ENTRY_SECTIONS = ("eVitals.", "eMedications.", "eProcedures.", "eAirway.")


@dataclass(frozen=True)
class Row:
    """One timed oxygen entry of this crew; an unknown device or flow is None."""

    time: int
    device: str | None
    flow: Fraction | None


@dataclass
class Instant:
    """All that this crew charted about oxygen at one instant."""

    rows: list[Row] = field(default_factory=list)
    stop_entry: bool = False

    @property
    def runs(self) -> bool:
        """Whether oxygen runs from here: the greatest flow is in force, a stop is none, and a row without one runs."""
        flows = [row.flow for row in self.rows if row.flow is not None]
        flows += [Fraction(0)] if self.stop_entry else []
        return bool(self.rows) and (not flows or max(flows) > 0)

    @property
    def stops(self) -> bool:
        """Whether oxygen is stopped here, by an entry of its own or a flow of nothing."""
        return not self.runs


@dataclass
class Therapy:
    """One therapy, closed at both ends; pauses are closed at the start and open at the end."""

    start: int
    limit: int
    limit_is_latest_entry: bool
    device: str | None = None
    flow: Fraction | None = None
    end: int = 0
    last_entry: int = 0
    stopped_at: int | None = None
    pauses: list[tuple[int, int]] = field(default_factory=list)
    changes: list[int] = field(default_factory=list)
    reductions: list[int] = field(default_factory=list)

    def holds(self, time: int) -> bool:
        """Whether an instant lies within the therapy and none of its pauses."""
        in_pause = any(begin <= time < until for begin, until in self.pauses)
        return self.start <= time <= self.end and not in_pause


def rank(rule: dict[str, Any], device: str | None) -> int:
    """Return how high a device stands, from 0; -1 when unknown."""
    for height, alike in enumerate(rule["devices"]):
        if device in alike:
            return height
    return -1


def device_of(view: View, rule: dict[str, Any], seen: Seen) -> str | None:
    """Return the oxygen device that an entry or its own group names."""
    group = seen.fact.call_group
    named = set(seen.direct)
    for other in view.standing:
        if group is not None and other.fact.call_group == group and other.fact.status == "present":
            named |= other.direct
    known = [name for name in sorted(named) if rank(rule, name) >= 0]
    return max(known, key=lambda name: rank(rule, name), default=None)


def flow_of(seen: Seen) -> Fraction | None:
    """Return the flow in litres per minute; a value in any other unit is unknown."""
    if seen.fact.value is None or seen.fact.unit not in (None, "L/min"):
        return None
    return exact(seen.fact.value)


def instants(view: View, rule: dict[str, Any], oxygen: list[Seen]) -> dict[int, Instant]:
    """Return this crew's timed oxygen entries and stops by instant, in time order."""
    found: dict[int, Instant] = {}
    for seen in oxygen:
        if seen.time is not None:
            row = Row(seen.time, device_of(view, rule, seen), flow_of(seen))
            found.setdefault(seen.time, Instant()).rows.append(row)
    for seen in view.ours(rule["stopped"]):
        if seen.time is not None:
            found.setdefault(seen.time, Instant()).stop_entry = True
    return dict(sorted(found.items()))


def latest_entry(view: View) -> int | None:
    """Return the latest time of a vitals, medication, procedure or airway entry, anyone's."""
    times = [seen.time for seen in view.standing if seen.time is not None and seen.fact.item.startswith(ENTRY_SECTIONS)]
    return max(times, default=None)


def limit(view: View, start: int, timeline: dict[int, Instant]) -> tuple[int, bool]:
    """Return when a therapy that nobody stops ends, and whether only the latest entry says so."""
    end = hand_over(view.report, timeline)
    if end is not None and end >= start:
        return end, False
    return max(start, latest_entry(view) or start), True


def hand_over(report: Report, timeline: dict[int, Instant]) -> int | None:
    """Return the milestone that ends this crew's oxygen."""
    if report.transported and report.at_destination is not None:
        goes_on = any(time > report.at_destination for time in timeline)
        return report.transfer_of_care if goes_on else report.at_destination
    if report.transfer_of_care is None and report.transported is False:
        return report.left_scene
    return report.transfer_of_care


def therapies(view: View, rule: dict[str, Any], oxygen: list[Seen]) -> list[Therapy]:
    """Return the therapies that the given oxygen entries make, in time order."""
    timeline = instants(view, rule, oxygen)
    done: list[Therapy] = []
    current: Therapy | None = None
    for time, instant in timeline.items():
        if current is not None and is_over(current, time, instant, rule):
            done.append(closed(current))
            current = None
        if current is not None and instant.stops:
            note_stop(current, time)
        if not instant.runs:
            continue
        if current is None:
            until, by_entry = limit(view, time, timeline)
            current = Therapy(time, until, by_entry, last_entry=time)
            take(current, instant, rule)
        else:
            go_on(current, time, instant, rule)
    if current is not None:
        done.append(closed(current))
    return done


def is_over(therapy: Therapy, time: int, instant: Instant, rule: dict[str, Any]) -> bool:
    """Whether the therapy had ended before this instant."""
    if time > therapy.limit:
        stop_behind = therapy.limit_is_latest_entry and instant.stops and therapy.stopped_at is None
        return not stop_behind
    if therapy.stopped_at is None or not instant.runs:
        return False
    return time - therapy.stopped_at > int(rule["pause"]) * MINUTE


def closed(therapy: Therapy) -> Therapy:
    """Set the end: the stop if it stands stopped, else the limit."""
    therapy.end = therapy.limit if therapy.stopped_at is None else therapy.stopped_at
    return therapy


def note_stop(therapy: Therapy, time: int) -> None:
    """Stop a running therapy; it may still be resumed."""
    if therapy.stopped_at is None:
        therapy.stopped_at = time
        therapy.last_entry = time


def go_on(therapy: Therapy, time: int, instant: Instant, rule: dict[str, Any]) -> None:
    """Take a later entry of a therapy that runs or resumes."""
    therapy.last_entry = time
    if therapy.stopped_at is not None:
        therapy.pauses.append((therapy.stopped_at, time))
        therapy.changes.append(time)
        therapy.stopped_at = None
    device, flow = therapy.device, therapy.flow
    take(therapy, instant, rule)
    other_device = None not in (device, therapy.device) and device != therapy.device
    other_flow = None not in (flow, therapy.flow) and flow != therapy.flow
    if other_device or other_flow:
        therapy.changes.append(time)
    if is_reduction(rule, (device, flow), (therapy.device, therapy.flow)):
        therapy.reductions.append(time)


def in_force_last(instant: Instant, rule: dict[str, Any]) -> list[Row]:
    """Sort the rows of one instant so that the greatest flow, then the higher device, comes last."""
    nothing = Fraction(-1)
    return sorted(instant.rows, key=lambda row: (nothing if row.flow is None else row.flow, rank(rule, row.device)))


def take(therapy: Therapy, instant: Instant, rule: dict[str, Any]) -> None:
    """Let the entries of one instant set device and flow: the greatest flow, then the higher device, last."""
    for row in in_force_last(instant, rule):
        therapy.device = therapy.device if row.device is None else row.device
        therapy.flow = therapy.flow if row.flow is None else row.flow


def is_reduction(
    rule: dict[str, Any], before: tuple[str | None, Fraction | None], after: tuple[str | None, Fraction | None]
) -> bool:
    """Whether a lower device follows, or on the same one at least so much or a quarter less flow."""
    known = before[0] is not None and after[0] is not None
    if known and before[0] != after[0]:
        return rank(rule, after[0]) < rank(rule, before[0])
    if before[1] is None or after[1] is None:
        return False
    less = before[1] - after[1]
    return less > 0 and (less >= exact(rule["reduction"]) or less >= before[1] / 4)
