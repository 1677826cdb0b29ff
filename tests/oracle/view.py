"""One report as one edition reads it: which facts stand, which contradict each other, what each one means."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from oracle.model import Concepts, Edition, Fact, Report, Settings


@dataclass(frozen=True)
class Seen:
    """A fact with the concepts its item stands for, and those together with all their parents."""

    fact: Fact
    direct: frozenset[str]
    concepts: frozenset[str]

    @property
    def time(self) -> int | None:
        """The fact's own time."""
        return self.fact.time

    @property
    def ours(self) -> bool:
        """Whether it is known to be this crew's; unknown is not."""
        return self.fact.by_others is False


@dataclass
class View:
    """A report under an edition."""

    report: Report
    edition: Edition
    settings: Settings
    concepts: Concepts
    standing: list[Seen] = field(default_factory=list)
    conflicted: list[Seen] = field(default_factory=list)

    def of(self, concept: str, status: str = "present") -> list[Seen]:
        """Return the standing facts of a concept or a child of it, anyone's."""
        return [seen for seen in self.standing if concept in seen.concepts and seen.fact.status == status]

    def ours(self, concept: str) -> list[Seen]:
        """Return this crew's standing facts of a concept."""
        return [seen for seen in self.of(concept) if seen.ours]

    def ours_in_conflict(self, concept: str) -> list[Seen]:
        """Return this crew's facts of a concept that are charted as done and as not done at one instant."""
        return [
            seen for seen in self.conflicted if concept in seen.concepts and seen.fact.status == "present" and seen.ours
        ]


def look(report: Report, edition: Edition, settings: Settings) -> View:
    """Read a report under an edition that already knows the agency's further codes."""
    concepts = edition.concepts
    view = View(report, edition, settings, concepts)
    contradicted = contradictions(report.facts)
    for fact in report.facts:
        seen = meaning(fact, concepts, settings)
        if (fact.item, fact.time) in contradicted:
            view.conflicted.append(seen)
        else:
            view.standing.append(seen)
    return view


def with_settings(concepts: Concepts, settings: Settings) -> Concepts:
    """Add the agency's further tube codes and further respirators."""
    direct = {name: set(items) for name, items in concepts.direct.items()}
    parents = {name: list(above) for name, above in concepts.parents.items()}
    for code in settings.intubation_also:
        direct.setdefault("intubation", set()).add(f"eProcedures.03={code}")
    for name in settings.respirator_also:
        parents.setdefault(name, []).append("respirator")
    return Concepts(direct, parents, concepts.days)


def contradictions(facts: tuple[Fact, ...]) -> set[tuple[str, int | None]]:
    """Return each item and millisecond at which the same thing is present and negated."""
    said: dict[tuple[str, int | None], set[str]] = {}
    for fact in facts:
        if fact.time is not None:
            said.setdefault((fact.item, fact.time), set()).add(fact.status)
    return {key for key, statuses in said.items() if {"present", "negated"} <= statuses}


def meaning(fact: Fact, concepts: Concepts, settings: Settings) -> Seen:
    """Return what a fact stands for; an agency's own result stands for something only through a mapping."""
    if fact.origin == "custom":
        return custom_meaning(fact, concepts, settings)
    return seen_as(fact, concepts.meant_by(fact.item), concepts)


def custom_meaning(fact: Fact, concepts: Concepts, settings: Settings) -> Seen:
    """Map an agency's result: a declared value to present or negated, a date-time to a present fact."""
    identifier, _, value = fact.item.removeprefix("custom:").partition("=")
    mapping = settings.custom.get(identifier)
    if mapping is None:
        return seen_as(fact, frozenset(), concepts)
    if fact.status == "negated" or mapping.values is None:
        return seen_as(fact, frozenset({mapping.concept}), concepts)
    if value not in mapping.values:
        return seen_as(fact, frozenset(), concepts)
    return seen_as(replace(fact, status=mapping.values[value]), frozenset({mapping.concept}), concepts)


def seen_as(fact: Fact, direct: frozenset[str], concepts: Concepts) -> Seen:
    """Add the parents."""
    every: set[str] = set()
    for concept in direct:
        every |= concepts.line(concept)
    return Seen(fact, direct, frozenset(every))
