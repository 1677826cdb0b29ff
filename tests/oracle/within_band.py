"""Kind `within_band`: is oxygen kept within the target saturation."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from oracle.cohorts import belongs
from oracle.exempt import resuscitation, windows
from oracle.model import MINUTE, Opportunity
from oracle.therapy import Therapy, flow_of, instants, therapies
from oracle.view import Seen, View

Window = tuple[int, int]
Reading = tuple[int, Fraction]


def opportunities(view: View, rule: dict[str, Any]) -> list[Opportunity]:
    """Return one opportunity for each therapy, in time order, untimed last."""
    oxygen = view.ours(rule["therapy"])
    untimed = all(seen.time is None for seen in oxygen) and any(flow_of(seen) != 0 for seen in oxygen)
    standing = therapies(view, rule, oxygen)
    alone = [
        one
        for one in therapies(view, rule, view.ours_in_conflict(rule["therapy"]))
        if not any(other.start <= one.end and one.start <= other.end for other in standing)
    ]
    band = excluded_or_ceiling(view, rule)
    found = [judged(view, rule, therapy, band) for therapy in standing]
    if untimed:
        return [set_aside(view, rule, None, "time_missing", band)]
    found += [set_aside(view, rule, one.start, "chart_conflict", band) for one in alone]
    return sorted(found, key=lambda one: one.time or 0)


def excluded_or_ceiling(view: View, rule: dict[str, Any]) -> str | int:
    """Return the first matching band: its ceiling, or the name of the cohort that is left out."""
    for band in rule["bands"]:
        cohort = band.get("cohort")
        if cohort is None or belongs(view, cohort):
            return str(cohort) if band.get("exclude") else int(band["ceiling"])
    raise AssertionError("the last band names no cohort")


def set_aside(view: View, rule: dict[str, Any], time: int | None, reason: str, band: str | int) -> Opportunity:
    """Return an opportunity that cannot be judged: excluded if its report is, else for the reason given."""
    if isinstance(band, str):
        return Opportunity(time, "excluded", band)
    if resuscitation(view, rule)[1]:
        return Opportunity(time, "excluded", "exempt")
    return Opportunity(time, "cannot_tell", reason)


def judged(view: View, rule: dict[str, Any], therapy: Therapy, band: str | int) -> Opportunity:
    """Judge one therapy."""
    touches = (therapy.start, therapy.end)
    if isinstance(band, str):
        return Opportunity(therapy.start, "excluded", band, touches=touches)
    if resuscitation(view, rule)[1]:
        return Opportunity(therapy.start, "excluded", "exempt", touches=touches)
    case = Case(view, rule, therapy, band)
    outcome, reason = case.decide()
    amount = case.minutes_above(with_assumed=False) if case.counted else None
    return Opportunity(therapy.start, outcome, reason, amount, touches=touches)


@dataclass
class Case:
    """One therapy with its readings, as the table of the kind asks about it."""

    view: View
    rule: dict[str, Any]
    therapy: Therapy
    ceiling: int

    def __post_init__(self) -> None:
        self.entries = [
            seen
            for seen in self.view.standing
            if self.rule["reading"] in seen.concepts
            and seen.ours
            and seen.time is not None
            and self.therapy.holds(seen.time)
        ]
        self.readings = own_readings(self.entries, *self.rule["readable"])
        self.stretches = judged_time(self.view, self.rule, self.therapy)
        self.counted = [one for one in self.readings if any(a <= one[0] < b for a, b in self.stretches)]
        self.settled = answered(self)

    @property
    def length(self) -> int:
        """Judged time in ms."""
        return sum(until - begin for begin, until in self.stretches)

    def minutes(self, name: str) -> int:
        """Return a limit of the rule in ms."""
        return int(self.rule[name] * MINUTE)

    def decide(self) -> tuple[str, str | None]:
        """Ask the table's rows in their order."""
        if not self.readings:
            return self.without_reading()
        carried = self.length <= self.minutes("carry")
        if all(value <= self.ceiling for _, value in self.readings):
            enough = len(self.readings) >= 2 or carried
            return ("met", None) if enough else ("cannot_tell", "too_few_readings")
        if self.length < self.minutes("judge_at_least"):
            return "excluded", "too_short_to_judge" if self.is_short() else "exempt"
        if len(self.counted) < 2:
            near = [time for time, value in self.counted if value < self.ceiling + 2 or time in self.settled]
            return ("met", None) if near and carried else ("cannot_tell", "too_few_readings")
        for with_assumed in (False, True):
            above = self.minutes_above(with_assumed) > self.rule["tolerance"]
            if above and self.is_persistent(with_assumed):
                return ("cannot_tell", "therapy_end_unknown") if with_assumed else ("not_met", None)
        return "met", None

    def without_reading(self) -> tuple[str, str]:
        """Ask the first three rows."""
        nil = [seen.fact.value is None and seen.fact.why in self.rule["unobtainable"] for seen in self.entries]
        if nil and all(nil):
            return "excluded", "reading_unobtainable"
        if self.is_short():
            return "excluded", "too_short_to_judge"
        return "cannot_tell", "not_documented"

    def is_short(self) -> bool:
        """Whether the therapy is too short for any judged time to fit."""
        return self.therapy.end - self.therapy.start < self.minutes("settle") + self.minutes("judge_at_least")

    @property
    def assumed_from(self) -> int:
        """When time behind the last own oxygen entry becomes an assumption."""
        return self.therapy.last_entry + self.minutes("assumed_after")

    def minutes_above(self, with_assumed: bool) -> Fraction:
        """Return the minutes that readings above the ceiling hold."""
        total = 0
        for number, (time, value) in enumerate(self.counted):
            if value <= self.ceiling or time in self.settled:
                continue
            until = min(time + self.minutes("carry"), next(b for a, b in self.stretches if a <= time < b))
            if number + 1 < len(self.counted):
                until = min(until, self.counted[number + 1][0])
            if not with_assumed:
                until = min(until, self.assumed_from)
            total += max(0, until - time)
        return Fraction(total, MINUTE)

    def is_persistent(self, with_assumed: bool) -> bool:
        """Whether two neighbours stand two points above, or three or more one point above for long enough."""
        row: list[Reading] = []
        before: Fraction | None = None
        for time, value in self.counted:
            speaks = time not in self.settled and (with_assumed or time < self.assumed_from)
            if not speaks or value < self.ceiling + 1:
                row, before = [], None
                continue
            if before is not None and min(before, value) >= self.ceiling + 2:
                return True
            row.append((time, value))
            before = value
            if len(row) >= 3 and row[-1][0] - row[0][0] >= self.minutes("persistent_over"):
                return True
        return False


def own_readings(entries: list[Seen], lowest_readable: int, highest_readable: int) -> list[Reading]:
    """Return the readable values by time; several at one instant: the lowest."""
    lowest: dict[int, Fraction] = {}
    for seen in entries:
        if seen.fact.status != "present" or seen.fact.value is None or seen.time is None:
            continue
        value = Fraction(str(seen.fact.value))
        if lowest_readable <= value <= highest_readable:
            lowest[seen.time] = min(value, lowest.get(seen.time, value))
    return sorted(lowest.items())


def judged_time(view: View, rule: dict[str, Any], therapy: Therapy) -> list[Window]:
    """Return the stretches in which a reading counts."""
    settle = rule["settle"] * MINUTE
    taken = list(therapy.pauses) + windows(view, rule)
    taken += [(time, time + settle) for time in [therapy.start, *therapy.changes]]
    stretches = [(therapy.start, therapy.end)]
    for begin, until in taken:
        kept: list[Window] = []
        for a, b in stretches:
            kept += [(a, min(b, begin)), (max(a, until), b)] if begin < until else [(a, b)]
        stretches = [(a, b) for a, b in kept if a < b]
    return sorted(stretches)


def answered(case: Case) -> set[int]:
    """Return the times of counted readings that a reduction or stop answered in time."""
    timeline = instants(case.view, case.rule, case.view.ours(case.rule["therapy"]))
    moves = sorted({*case.therapy.reductions, *(time for time, one in timeline.items() if one.stops)})
    settled: set[int] = set()
    run: list[Reading] = []
    for reading in [*case.counted, (0, Fraction(0))]:
        if reading[1] > case.ceiling:
            run.append(reading)
        else:
            settled |= settle_run(case, run, moves)
            run = []
    return settled


def settle_run(case: Case, run: list[Reading], moves: list[int]) -> set[int]:
    """Answer one run, then what follows the answer as a new run."""
    needs = [time for number, (time, value) in enumerate(run) if value >= case.ceiling + 2 or number == 2]
    if not needs:
        return set()
    move = next((one for one in moves if needs[0] <= one <= needs[0] + case.minutes("answer")), None)
    if move is None:
        return set()
    before = {time for time, _ in run if time < move}
    return before | settle_run(case, [one for one in run if one[0] >= move], moves)
