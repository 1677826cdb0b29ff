"""What is charted: the evidence of a finding in one line of times and values, a way for each kind of check."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime

from qa_audit.report.entries import Entry
from qa_audit.report.wording import joined
from qa_audit.rules.kinds import Attempts, Check, CompanionForEpisodes, CompanionForMembers, WithinBand
from qa_audit.rules.kinds.within_band import Band

AT_MOST = 5
"""Entries a line spells out; more are counted."""

Clock = Callable[[datetime], str]


def charted(check: Check, entries: Iterable[Entry], band: Band | None, clock: Clock) -> str:
    """Return the entries that a finding rests on, each with its time and value; entries of others are left out."""
    own = [entry for entry in entries if entry.by_others is not True and not entry.empty]
    match check:
        case WithinBand():
            return _therapy_and_readings(check, own, band, clock)
        case Attempts():
            counted = {check.procedure, check.only_without_it}
            return _listed([entry for entry in own if entry.concepts & counted], clock)
        case CompanionForMembers():
            return _procedure_and_lists(check, own, clock)
        case CompanionForEpisodes():
            needed = [entry for entry in own if check.needed in entry.concepts]
            return "; ".join(filter(None, [_listed([e for e in own if e not in needed], clock), _said(needed)]))


def _therapy_and_readings(check: WithinBand, own: list[Entry], band: Band | None, clock: Clock) -> str:
    ceiling = None if band is None else band.ceiling
    readings = [entry for entry in own if check.reading in entry.concepts and entry.amount is not None]
    above = [entry for entry in readings if ceiling is None or (entry.amount or 0) > ceiling]
    spelled = [f"{clock(entry.time)} ({entry.value})" for entry in above if entry.time is not None]
    given = _listed([entry for entry in own if check.therapy in entry.concepts], clock)
    heading = "saturation" if ceiling is None else f"saturation above {ceiling:g} %"
    return "; ".join(filter(None, [given, f"{heading} {_cut(spelled)}" if spelled else ""]))


def _procedure_and_lists(check: CompanionForMembers, own: list[Entry], clock: Clock) -> str:
    lists = [entry for entry in own if entry.concepts & {*check.lists}]
    named = dict.fromkeys(entry.what for entry in lists)
    return "; ".join(
        filter(None, [_listed([entry for entry in own if entry not in lists], clock),
                      f"equipment of one member: {joined(list(named))}" if len(named) == 1 else
                      f"equipment of one member each: {' / '.join(named)}" if named else ""])
    )  # fmt: skip


def _listed(entries: list[Entry], clock: Clock) -> str:
    """Return entries by name, each with its times and values in order: oxygen by cannula 10:05 (2 L/min)."""
    named: dict[str, list[str]] = {}
    for entry in entries:
        when = "no time charted" if entry.time is None else clock(entry.time)
        named.setdefault(entry.what, []).append(f"{when} ({entry.value.replace(';', ',')})" if entry.value else when)
    return "; ".join(f"{what} {_cut(times)}" for what, times in named.items())


def _said(needed: list[Entry]) -> str:
    return joined([f"{entry.what}: charted as {'no' if entry.said_no else 'yes'}" for entry in needed])


def _cut(spelled: list[str]) -> str:
    more = len(spelled) - AT_MOST
    return ", ".join(spelled[:AT_MOST]) + (f" and {more} more" if more > 0 else "")
