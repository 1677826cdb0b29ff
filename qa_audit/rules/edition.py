"""Editions: one complete, dated set of concepts and rules, and the instants between which it is in force."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from typing import Annotated, Literal
from zoneinfo import ZoneInfo

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from qa_audit.rules.concept import Concept, Concepts
from qa_audit.rules.rule import Rule
from qa_audit.yaml_files import Document


def _local(written: object) -> object:
    """Read a date as its first instant; a date-time stands as written. Both are local, without offset."""
    if not isinstance(written, str):
        return written
    try:
        moment = datetime.fromisoformat(written.strip())
    except ValueError:
        raise ValueError(f"'{written}' is no date; write 2026-02-17 or 2026-02-17T12:00, local time.") from None
    if moment.tzinfo is not None:
        raise ValueError("write the local time without an offset; the settings' time zone turns it into an instant.")
    return moment


LocalMoment = Annotated[datetime, BeforeValidator(_local)]


class Citation(BaseModel):
    """A published source that rules rest on."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    title: str = Field(min_length=1)
    section: str = ""
    dated: str = ""


class EditionFile(BaseModel):
    """edition.yaml; `in_force_until` is the first moment at which the edition no longer holds."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    name: str
    title: str = Field(min_length=1)
    in_force_from: LocalMoment
    in_force_until: LocalMoment | None = None
    transition_until: LocalMoment | None = None
    made_known: LocalMoment | None = None
    must_document_from: LocalMoment | None = None
    suspected_infection: Literal["recorded", "everyone"] = "recorded"
    issued_by: str = Field(min_length=1)
    sources: dict[str, Citation] = Field(default_factory=dict)


@dataclass(frozen=True)
class Edition:
    """One edition of a ruleset; `until` is the next edition's beginning, null while none follows."""

    file: EditionFile
    folder: str
    concepts: Mapping[str, Concept]
    rules: Mapping[str, Rule]
    until: datetime | None = None
    places: Mapping[str, Document] = field(default_factory=dict)
    """The file of each rule, for faults that are found by judging its examples."""

    @property
    def label(self) -> str:
        """Return `name@date`, as determinations name the edition."""
        return f"{self.file.name}@{self.folder}"

    @property
    def begins(self) -> datetime:
        """Return the local moment from which the edition is in force."""
        return self.file.in_force_from

    def rule_hash(self, rule: Rule) -> str:
        """SHA-256 of everything that judges in a rule: its check, cohorts, exceptions and their concepts, not prose."""
        named = Concepts(self.concepts)
        judging = rule.model_dump(
            mode="json", include={"id", "strength", "answerable_by", "applies", "exclude", "exceptions", "check"}
        )
        codes = {name: sorted(named.patterns(name)) for name in sorted(rule.concepts())}
        return _digest([judging, codes, self.file.suspected_infection])

    @property
    def digest(self) -> str:
        """SHA-256 of everything that judges in the edition: its instants, rules and concepts."""
        instants = self.file.model_dump(mode="json", include=set(_INSTANTS))
        return _digest([instants, {name: self.rule_hash(rule) for name, rule in sorted(self.rules.items())}])


_INSTANTS = ("in_force_from", "in_force_until", "transition_until", "made_known", "must_document_from")


def _digest(content: object) -> str:
    return hashlib.sha256(json.dumps(content, sort_keys=True, ensure_ascii=False).encode()).hexdigest()


@dataclass(frozen=True)
class Ruleset:
    """Every edition of one name, oldest first; they tile time without gap or overlap."""

    name: str
    editions: tuple[Edition, ...]

    def by_label(self, label: str) -> Edition:
        """Return the edition that a determination names."""
        return next(edition for edition in self.editions if edition.label == label)

    @property
    def newest(self) -> Edition:
        """Return the edition that begins last."""
        return self.editions[-1]

    def in_force(self, day: date) -> Edition | None:
        """Return the edition in force at the end of a local day."""
        begun = [edition for edition in self.editions if edition.begins.date() <= day]
        return begun[-1] if begun else None


def instant(local: datetime, time_zone: str | None) -> datetime:
    """Return a local moment as an instant; without a time zone its wall clock, labelled UTC.

    Without a zone times are compared by each report's own offset (see audit): the label then stands for wall time.
    """
    return local.replace(tzinfo=ZoneInfo(time_zone) if time_zone else UTC).astimezone(UTC)
