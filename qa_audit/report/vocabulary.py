"""Vocabulary: what the items of a chart are called, through one edition's concepts and the agency's own fields."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from qa_audit.report.wording import spaced
from qa_audit.rules import Concepts, Edition
from qa_audit.rules.agency import concepts_for
from qa_audit.rules.kinds import CompanionForMembers, WithinBand
from qa_audit.settings import Settings


@dataclass(frozen=True)
class Vocabulary:
    """One edition's words for items: the generic words of its concepts, never the label of a code."""

    edition: Edition
    concepts: Concepts

    @cached_property
    def _exact(self) -> dict[str, list[str]]:
        named: dict[str, list[str]] = {}
        for name in self.concepts.named:
            for pattern in self.concepts.own_patterns(name):
                named.setdefault(pattern, []).append(name)
        return named

    @cached_property
    def _prefixes(self) -> list[tuple[str, str]]:
        return [
            (pattern[:-1], name) for pattern, names in self._exact.items() if pattern.endswith("*") for name in names
        ]

    @cached_property
    def devices(self) -> frozenset[str]:
        """Return the concepts that name a device of a therapy which some rule keeps within a band."""
        bands = [rule.check for rule in self.edition.rules.values() if isinstance(rule.check, WithinBand)]
        return frozenset(device for check in bands for rank in check.devices for device in rank)

    @cached_property
    def therapies(self) -> frozenset[str]:
        """Return the therapies that have such devices."""
        return frozenset(
            rule.check.therapy for rule in self.edition.rules.values() if isinstance(rule.check, WithinBand)
        )

    @cached_property
    def readings(self) -> frozenset[str]:
        """Return the concepts that are a reading in percent."""
        return frozenset(
            rule.check.reading for rule in self.edition.rules.values() if isinstance(rule.check, WithinBand)
        )

    @cached_property
    def lists(self) -> frozenset[str]:
        """Return the concepts whose items make a list that some rule reads."""
        checks = [rule.check for rule in self.edition.rules.values() if isinstance(rule.check, CompanionForMembers)]
        return frozenset(name for check in checks for name in check.lists)

    def names(self, item: str) -> list[str]:
        """Return the concepts that claim an item themselves, in the edition's order."""
        found = {*self._exact.get(item, ()), *(name for prefix, name in self._prefixes if item.startswith(prefix))}
        return [name for name in self.concepts.named if name in found]

    def speaks_of(self, item: str) -> frozenset[str]:
        """Return the concepts that claim an item, and everything those are."""
        found = {*self.names(item)}
        while above := {parent for name in found for parent in self.concepts.named[name].is_a} - found:
            found |= above
        return frozenset(found)

    def says_no(self, item: str) -> bool:
        """Say whether the agency's value in an own field denies its concept."""
        return item in self.concepts.custom and self.concepts.custom[item][1] == "negated"

    def words(self, name: str) -> str:
        """Return a concept in a few generic words: the head of its sentence."""
        sentence = self.concepts.named[name].sentence if name in self.concepts.named else spaced(name)
        return headword(sentence)


def headword(sentence: str) -> str:
    """Return what stands before the first comma, semicolon, dash or full stop of a sentence, in lower case."""
    for mark in (";", " - ", ",", "."):
        sentence = sentence.partition(mark)[0]
    return sentence[:1].lower() + sentence[1:] if sentence[1:2].islower() or sentence[1:2] == " " else sentence


def vocabulary(edition: Edition, settings: Settings) -> Vocabulary:
    """Return an edition's words together with what the settings map onto its concepts."""
    return Vocabulary(edition, concepts_for(edition, settings))
