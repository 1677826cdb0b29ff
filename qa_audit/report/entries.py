"""Entries: the facts of one report as a reader sees them, one entry for each group that was charted together."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import groupby
from typing import Any

import polars as pl

from qa_audit.report.vocabulary import Vocabulary
from qa_audit.report.wording import counted, joined, number, spaced

Fact = dict[str, Any]
"""A row of the facts table."""

PER_CENT = ("%", "percent")
BEFORE_ALL = datetime.min.replace(tzinfo=UTC)


@dataclass(frozen=True)
class Entry:
    """One thing charted: what (generic words), when (instant, null: no time charted), its value, by whom.

    `concepts` are the concepts it speaks of and what those are, `amount` its number, `said_no` that it is charted as
    not done or absent, `empty` that its elements stand empty, `by_others` as in the facts table, `facts` the fact
    numbers, `codes` the standard's elements and codes.
    """

    what: str
    time: datetime | None
    until: datetime | None
    value: str
    amount: float | None
    concepts: frozenset[str]
    said_no: bool
    empty: bool
    member: str | None
    by_others: bool | None
    facts: frozenset[int]
    codes: tuple[str, ...]
    group: int | None


def entries_of(facts: pl.DataFrame, words: Vocabulary) -> list[Entry]:
    """Return the entries of one report's facts in time order, untimed last; what no concept claims is left out.

    Facts of one call group at one time by one person are one entry (a drug with its route, an equipment list).
    """
    claimed = [fact for fact in facts.sort("fact").iter_rows(named=True) if words.names(fact["item"])]
    entries = [_entry(list(group), words) for _, group in groupby(sorted(claimed, key=_together), key=_together)]
    return sorted(entries, key=lambda entry: (entry.time is None, entry.time or BEFORE_ALL, min(entry.facts)))


def _together(fact: Fact) -> tuple[Any, ...]:
    """Return what facts of one entry share; a fact without group stands alone, a reading apart from the others."""
    moment = fact["time"].timestamp() if fact["time"] is not None else -1.0
    alone = -1 if fact["call_group"] is not None and "=" in fact["item"] else fact["fact"]
    group = fact["call_group"] if fact["call_group"] is not None else -1
    return (group, moment, fact["member"] or "", alone)


def _entry(facts: list[Fact], words: Vocabulary) -> Entry:
    names = {fact["fact"]: _chosen(fact, facts, words) for fact in facts}
    concepts = frozenset().union(*(words.speaks_of(fact["item"]) for fact in facts))
    first = facts[0]
    return Entry(
        what=_what(list(names.values()), words),
        time=first["time"],
        until=first["until"],
        value="; ".join(_values(facts, concepts & words.readings)),
        amount=next((fact["value"] for fact in facts if fact["value"] is not None), None),
        concepts=concepts,
        said_no=any(fact["status"] == "negated" or words.says_no(fact["item"]) for fact in facts),
        empty=all(fact["status"] == "missing" for fact in facts),
        member=first["member"],
        by_others=first["by_others"],
        facts=frozenset(fact["fact"] for fact in facts),
        codes=tuple(dict.fromkeys(fact["item"] for fact in facts)),
        group=first["call_group"],
    )


def _what(names: list[str], words: Vocabulary) -> str:
    """Return the names in words: a device stands for its therapy, and `any item` of a list is only counted."""
    shown = dict.fromkeys(names)
    if set(shown) & words.devices:
        shown = {name: None for name in shown if name not in words.therapies}
    general = [name for name in shown if any(name in words.concepts.named[other].is_a for other in shown)]
    more = sum(names.count(name) for name in general)
    named = [words.words(name) for name in shown if name not in general]
    return joined([*named, f"{counted(more, 'more item')}"] if more else named)


def _chosen(fact: Fact, beside: list[Fact], words: Vocabulary) -> str:
    """Return the one concept that names a fact: a device beside its therapy, else the procedure itself."""
    names = words.names(fact["item"])
    with_therapy = any(words.therapies & {*words.names(other["item"])} for other in beside)
    preferred = [name for name in names if (name in words.devices) == with_therapy]
    return (preferred or names)[0]


def _values(facts: list[Fact], readings: frozenset[str]) -> Iterator[str]:
    for fact in facts:
        if fact["status"] == "missing":
            yield f"no value charted ({spaced(fact['why'] or 'left empty')})"
            continue
        if fact["value"] is not None:
            unit = "%" if readings and fact["unit"] in (None, *PER_CENT) else fact["unit"]
            yield f"{number(fact['value'])} {unit}" if unit else number(fact["value"])
        if fact["count"] is not None:
            yield counted(fact["count"], "attempt")
        if fact["success"] is not None:
            yield "with success" if fact["success"] else "without success"


def resting_on(entries: Iterable[Entry], evidence: Iterable[int]) -> list[Entry]:
    """Return the entries that hold any of the fact numbers."""
    wanted = frozenset(evidence)
    return [entry for entry in entries if entry.facts & wanted]
