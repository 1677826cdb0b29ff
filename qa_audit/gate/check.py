"""What a check is: one question about every report, with its sentence, its basis and what a failure leads to."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import polars as pl

from qa_audit.gate.sheet import Sheet

Family = Literal["completeness", "plausibility", "chronology", "coherence", "identifiers"]
Verdict = Literal["hold_back", "strip", "warn"]
Answers = Callable[[Sheet], pl.LazyFrame]

COMMON_PRACTICE = "common practice, no source"


@dataclass(frozen=True)
class Recorded:
    """The column of `reports` holds a value in every report."""

    column: str


@dataclass(frozen=True)
class OneOf:
    """The column of `reports` holds one of the allowed values; a report without a value is not asked."""

    column: str
    allowed: tuple[str, ...]


@dataclass(frozen=True)
class NotBefore:
    """One milestone of `reports` is not before another; a report that lacks either is not asked."""

    later: str
    earlier: str


@dataclass(frozen=True)
class Between:
    """A number column of `reports` lies between two thresholds, ends included; a report without one is not asked."""

    column: str
    low: str
    high: str


@dataclass(frozen=True)
class AtLeast:
    """A number worked out from several tables is not below a threshold.

    `of` gives `report` and `value`, at most one row a report; a report without a row or with null is not asked.
    """

    of: Answers
    threshold: str


@dataclass(frozen=True)
class AtMost:
    """A number worked out from several tables is not above a threshold; `of` as in `AtLeast`."""

    of: Answers
    threshold: str


@dataclass(frozen=True)
class Holds:
    """A statement that spans tables is true.

    `of` gives `report` and `holds`, at most one row a report; a report without a row or with null is not asked.
    """

    of: Answers


Question = Recorded | OneOf | Between | NotBefore | AtLeast | AtMost | Holds


@dataclass(frozen=True)
class Check:
    """One check of the gate.

    `sentence` says what is checked in plain words and may name thresholds in braces. `basis` says where the
    check comes from. `concepts` are the concepts of the edition it cannot be asked without. `asks` is null
    when this run has nothing to compare with (no month asked, no agency known).
    """

    name: str
    family: Family
    verdict: Verdict
    sentence: str
    basis: str
    asks: Question | None
    concepts: tuple[str, ...] = ()
