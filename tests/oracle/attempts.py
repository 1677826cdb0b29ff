"""Kind `attempts`: how many attempts at intubation the chart holds."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from oracle.model import MINUTE, Opportunity
from oracle.view import Seen, View


@dataclass
class Attempt:
    """One row, or rows of different codes that are the same attempt."""

    rows: list[Seen]
    after_success: bool = False
    double_entry: bool = False

    @property
    def count(self) -> int | None:
        """The largest count charted for it; None when none is."""
        return max((row.fact.count for row in self.rows if row.fact.count is not None), default=None)

    @property
    def succeeded(self) -> bool:
        """Whether a success is charted."""
        return any(row.fact.success for row in self.rows)


@dataclass
class Sequence:
    """Attempts until a tube that was placed came out again."""

    attempts: list[Attempt] = field(default_factory=list)

    @property
    def runs_on(self) -> bool:
        """Whether the counts are running numbers: exactly 1 to n over at least two attempts."""
        counts = [one.count for one in self.attempts if not one.after_success]
        return len(counts) >= 2 and counts == list(range(1, len(counts) + 1))

    @property
    def lower_bound(self) -> int:
        """How many attempts it surely holds."""
        counts = [one.count for one in self.attempts if not one.after_success]
        if self.runs_on:
            return len(counts)
        return sum(one.count or 1 for one in self.attempts if not one.after_success and not one.double_entry)

    @property
    def in_conflict(self) -> bool:
        """Whether any of its attempts contradicts the one before it."""
        return any(one.after_success or (one.double_entry and not self.runs_on) for one in self.attempts)


def opportunities(view: View, rule: dict[str, Any]) -> list[Opportunity]:
    """Return one opportunity, or none."""
    rows = view.ours(rule["procedure"]) or view.ours(rule["only_without_it"])
    contradicted = [
        seen for name in (rule["procedure"], rule["only_without_it"]) for seen in view.ours_in_conflict(name)
    ]
    if rows:
        return [judged(view, rule, in_time_order(rows))]
    if contradicted:
        return [Opportunity(earliest(contradicted), "cannot_tell", "chart_conflict")]
    placed = view.of(rule["procedure"]) + view.of(rule["only_without_it"])
    confirmed = view.ours(rule["confirmed"])
    if placed or not confirmed or view.report.service_type in rule["transfer_services"]:
        return []
    return [Opportunity(earliest(confirmed), "cannot_tell", "not_documented")]


def earliest(facts: list[Seen]) -> int | None:
    """Return the earliest time."""
    return min((seen.time for seen in facts if seen.time is not None), default=None)


def in_time_order(rows: list[Seen]) -> list[Seen]:
    """Sort by time, untimed last; ties in the order in which they are charted."""
    return sorted(rows, key=lambda row: (row.time is None, row.time or 0, row.fact.call_group or 0, row.fact.fact))


def judged(view: View, rule: dict[str, Any], rows: list[Seen]) -> Opportunity:
    """Judge the worst sequence."""
    came_out = any(view.of(concept) for concept in rule["reopened_by"])
    sequences = in_sequences(rule, rows, came_out=came_out)
    bound = max(one.lower_bound for one in sequences)
    only = rows[0].fact
    contradicted = (
        len(rows) == 1 and only.success is True and only.count == 1 and bool(view.ours(rule["failed_effort"]))
    )
    amount, time = Fraction(bound), earliest(rows)
    touches = tuple(row.time for row in rows if row.time is not None)
    if bound > rule["at_most"]:
        return Opportunity(time, "not_met", None, amount, touches=touches)
    if contradicted or any(one.in_conflict for one in sequences):
        return Opportunity(time, "cannot_tell", "chart_conflict", amount, touches=touches)
    if any(row.fact.count is None for row in rows):
        return Opportunity(time, "cannot_tell", "not_documented", amount, touches=touches)
    return Opportunity(time, "met", None, amount, touches=touches)


def in_sequences(rule: dict[str, Any], rows: list[Seen], *, came_out: bool) -> list[Sequence]:
    """Merge rows of one attempt, open a sequence after each success where a tube came out, mark contradictions."""
    sequences = [Sequence()]
    succeeded = False
    for number, row in enumerate(rows):
        before = rows[number - 1] if number else None
        attempts = sequences[-1].attempts
        if before is not None and row.fact.item != before.fact.item and before.fact.success is not False:
            attempts[-1].rows.append(row)
        else:
            if came_out and attempts and attempts[-1].succeeded:
                sequences.append(Sequence())
            attempt = Attempt([row], after_success=succeeded and not came_out)
            attempt.double_entry = before is not None and is_double_entry(rule, before, row)
            sequences[-1].attempts.append(attempt)
        succeeded = succeeded or row.fact.success is True
    return sequences


def is_double_entry(rule: dict[str, Any], before: Seen, row: Seen) -> bool:
    """Whether a row may be the one before it, charted again."""
    if row.fact.item != before.fact.item:
        return False
    apart = 0 if before.time is None or row.time is None else row.time - before.time
    other_member = None not in (row.fact.member, before.fact.member) and row.fact.member != before.fact.member
    return apart <= rule["double_entry"] * MINUTE and (row.fact.success == before.fact.success or other_member)
