"""Rulebook: every rule of the editions in force in a month, in words that a medical director can read and sign."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from qa_audit.report.completeness import Field, fields_of
from qa_audit.report.in_force import editions_in
from qa_audit.report.page import render, write_page
from qa_audit.report.vocabulary import Vocabulary, vocabulary
from qa_audit.report.wording import ANSWERABLE_BY, SEVERITIES, STRENGTHS, day, spaced
from qa_audit.rules import Edition, Rule, Ruleset
from qa_audit.rules.kinds import WithinBand
from qa_audit.settings import Settings
from qa_audit.tables import Month

COMMON_PRACTICE = "common practice"


@dataclass(frozen=True)
class Entry:
    """One rule as one edition has it.

    `opened_by` are the things charted that open the question, `bands` ceilings by cohort (null: not judged),
    `set_apart` the cohorts it does not ask about, `excused` the reasons that excuse, `basis` the sources' titles.
    """

    rule: Rule
    basis: tuple[str, ...]
    opened_by: tuple[str, ...]
    fields: tuple[Field, ...]
    bands: tuple[tuple[str, float | None], ...]
    applies: tuple[str, ...]
    set_apart: tuple[str, ...]
    excused: tuple[str, ...]
    changed: bool

    @property
    def rests_on(self) -> str:
        """Say whether the answer rests on standard elements, on the service's own fields, or on nothing yet."""
        needed = [field for field in self.fields if field.needed]
        elements = sorted({element for field in needed for element in field.elements})
        own = sorted({name for field in needed for name in field.own_fields})
        if elements:
            return f"Standard elements: {', '.join(elements)}." + (
                f" Also the service's own: {', '.join(own)}." if own else ""
            )
        if own:
            return f"The service's own fields: {', '.join(own)}. The standard has none for it."
        return "A field of the service's own, which does not exist yet; until then it cannot be judged here."


@dataclass(frozen=True)
class Book:
    """One edition with its rules in order of their titles; `unchanged` are rules that stand word for word above."""

    edition: Edition
    entries: tuple[Entry, ...]
    unchanged: tuple[str, ...]

    @property
    def in_force(self) -> str:
        """Return from when until when, in local time."""
        begins = self.edition.begins
        until = "until further notice" if self.edition.until is None else f"until {_moment(self.edition.until)}"
        return f"In force from {_moment(begins)} {until}."


def write(month: Month, ruleset: Ruleset, settings: Settings, folder: Path) -> Path:
    """Write `rulebook.html` of a month; returns its path."""
    editions = editions_in(ruleset, month.month)
    books = [_book(edition, ruleset, vocabulary(edition, settings), above) for above, edition in _with_above(editions)]
    page = render(
        "rulebook.html.j2",
        month=month,
        books=books,
        ruleset=ruleset,
        agency=settings.agency.name,
        strengths=STRENGTHS,
        severities=SEVERITIES,
        answerable_by=ANSWERABLE_BY,
    )
    path = folder / "rulebook.html"
    write_page(path, page)
    return path


def _with_above(editions: tuple[Edition, ...]) -> list[tuple[Edition | None, Edition]]:
    """Pair each edition with the one that stands above it on the page."""
    return list(zip((None, *editions), editions, strict=False))


def _book(edition: Edition, ruleset: Ruleset, words: Vocabulary, above: Edition | None) -> Book:
    place = ruleset.editions.index(edition)
    before = ruleset.editions[place - 1] if place else None
    rules = sorted(edition.rules.values(), key=lambda rule: rule.title)
    same = [rule for rule in rules if above is not None and _stands_in(above, rule, edition)]
    entries = tuple(_entry(rule, edition, before, words) for rule in rules if rule not in same)
    return Book(edition, entries, tuple(rule.title for rule in same))


def _stands_in(above: Edition, rule: Rule, edition: Edition) -> bool:
    older = above.rules.get(rule.id)
    if older is None or above.rule_hash(older) != edition.rule_hash(rule):
        return False
    return older.model_dump(exclude={"examples"}) == rule.model_dump(exclude={"examples"})


def _entry(rule: Rule, edition: Edition, before: Edition | None, words: Vocabulary) -> Entry:
    anchor = rule.check.anchor_name()
    below = sorted(words.concepts.family(anchor) - {anchor})
    older = before.rules.get(rule.id) if before is not None else rule
    return Entry(
        rule=rule,
        basis=tuple(_source(source, edition) for source in rule.basis),
        opened_by=tuple(words.words(name) for name in below or [anchor]),
        fields=tuple(fields_of(rule, words)),
        bands=_bands(rule, words),
        applies=tuple(words.words(name) for name in rule.applies),
        set_apart=tuple(words.words(name) for name in rule.exclude),
        excused=tuple(f"{spaced(each.id)} ({each.reason})" for each in rule.exceptions),
        changed=older is None or (before is not None and before.rule_hash(older) != edition.rule_hash(rule)),
    )


def _bands(rule: Rule, words: Vocabulary) -> tuple[tuple[str, float | None], ...]:
    if not isinstance(rule.check, WithinBand):
        return ()
    return tuple(
        ("everyone else" if band.cohort is None else words.words(band.cohort), band.ceiling)
        for band in rule.check.bands
    )


def _source(source: str, edition: Edition) -> str:
    if source == COMMON_PRACTICE:
        return "Common practice, no published source."
    cited = edition.file.sources[source]
    return f"{cited.title}{f', {cited.section}' if cited.section else ''}."


def _moment(moment: datetime) -> str:
    return f"{day(moment.date())}, {moment:%H:%M}" if (moment.hour, moment.minute) != (0, 0) else day(moment.date())
