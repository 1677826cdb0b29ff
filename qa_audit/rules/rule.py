"""A rule, as written in rules/<topic>/<rule-id>.yaml."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from qa_audit.rules.example import Example
from qa_audit.rules.kinds import Check

RuleId = Annotated[str, Field(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$")]
Sentence = Annotated[str, Field(min_length=1)]


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, str_strip_whitespace=True)


class DocumentedReason(_Part):
    """A documented reason for which what was not met leaves the count."""

    id: RuleId
    concept: str
    reason: Literal["medical", "patient", "system"]


class Feedback(_Part):
    """What a letter says of each outcome, in plain words; `{amount}` is the measured amount.

    `cannot_tell` may give a sentence of its own to a reason; others take a general one.
    """

    met: Sentence
    not_met: Sentence
    not_documented: Sentence
    cannot_tell: dict[str, Sentence] = Field(default_factory=dict)
    next_step: Sentence


class Rule(_Part):
    """One rule of one edition: what it asks, of whom, on what basis, and the examples that pin it."""

    id: RuleId
    title: Sentence
    why: Sentence
    known_limits: Sentence
    basis: tuple[str, ...] = Field(min_length=1)
    strength: Literal["must", "should", "may"]
    severity: Literal["safety", "quality", "record"]
    answerable_by: Literal["crew", "system"]
    applies: tuple[str, ...] = ()
    exclude: tuple[str, ...] = ()
    exceptions: tuple[DocumentedReason, ...] = Field(default=(), alias="except")
    check: Check
    feedback: Feedback
    examples: tuple[Example, ...] = ()

    def concepts(self) -> frozenset[str]:
        """Return every concept and cohort the rule names."""
        excepted = {exception.concept for exception in self.exceptions}
        return frozenset({*self.applies, *self.exclude, *excepted, *self.check.reads()})
