"""Data quality: what was read, held back, stripped, noticed and not used, and what better records would answer."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import polars as pl

from qa_audit.report.completeness import Completeness, Field, completeness_of, fields_of
from qa_audit.report.in_force import editions_in
from qa_audit.report.page import render, write_page
from qa_audit.report.vocabulary import Vocabulary, vocabulary
from qa_audit.report.wording import HELD_BACK, REMARKS, VERDICTS, capital, spaced
from qa_audit.rules import Edition, Rule, Ruleset
from qa_audit.rules.concept import CUSTOM
from qa_audit.settings import Settings
from qa_audit.tables import Month

FAMILIES = ("identifiers", "completeness", "plausibility", "chronology", "coherence")
OTHERS_WORK, NOT_SAID_WHOSE = "performer_not_on_crew_list", "ownership_unknown"
SENTENCES_SHOWN = 5
"""Different sentences of one hold-back check that are spelled out; the rest stand in the list of held-back reports."""
Row = dict[str, Any]


@dataclass(frozen=True)
class HeldBack:
    """One check that held reports back: its words, how many, and the sentences that say what to do."""

    check: str
    meaning: str
    reports: int
    sentences: tuple[str, ...]
    more: int


@dataclass(frozen=True)
class Answerable:
    """One rule: how complete its answers are, and the fields it rests on."""

    completeness: Completeness
    fields: tuple[Field, ...]

    @property
    def wanted(self) -> Field | None:
        """Return the one field that would let the rule be judged here, if it is missing."""
        return next((field for field in self.fields if field.needed and field.is_missing), None)

    @property
    def helpful(self) -> tuple[Field, ...]:
        """Return the further fields that would make its answers surer."""
        return tuple(field for field in self.fields if not field.needed and field.is_missing)


def write(month: Month, ruleset: Ruleset, settings: Settings, folder: Path) -> Path:
    """Write `data-quality.html` of a month; returns its path."""
    editions = editions_in(ruleset, month.month) or (ruleset.newest,)
    words = [vocabulary(edition, settings) for edition in editions]
    facts = month.batch.facts.group_by("item").agg(facts=pl.len(), others=pl.col("by_others").sum()).collect()
    remarks = month.batch.remarks.collect()
    unclaimed = _unclaimed(facts, words)
    page = render(
        "data_quality.html.j2",
        month=month,
        held_back=_held_back(month.batch.held_back),
        families=_checks(month.check_results),
        remarks=_remarks(remarks),
        answerable=_answerable(month, editions, words[-1]),
        unclaimed=unclaimed,
        facts=int(facts["facts"].sum()),
        unclaimed_facts=sum(row["facts"] for row in unclaimed),
        others_facts=int(facts["others"].sum()),
        others_by_performer=remarks.filter(pl.col("remark") == OTHERS_WORK).height,
        not_said_whose=remarks.filter(pl.col("remark") == NOT_SAID_WHOSE).height,
        kinds=_kinds(month),
        own_fields=_own_fields(month, settings),
        verdicts=VERDICTS,
    )
    path = folder / "data-quality.html"
    write_page(path, page)
    return path


def _held_back(rows: pl.DataFrame) -> list[HeldBack]:
    found = []
    for (check,), same in (
        rows.with_columns(pl.col("check").cast(pl.String)).sort("check").group_by("check", maintain_order=True)
    ):
        sentences = same["sentence"].unique(maintain_order=True).to_list()
        shown = tuple(sentences[:SENTENCES_SHOWN])
        found.append(
            HeldBack(
                capital(spaced(str(check))), HELD_BACK[str(check)], same.height, shown, len(sentences) - len(shown)
            )
        )
    return found


def _checks(results: pl.DataFrame) -> list[tuple[str, list[Row]]]:
    """Return the gate's checks by family, in the order they were asked; a family that is new to us comes last."""
    rows = results.with_columns(pl.col("verdict").cast(pl.String)).drop("failed_reports").to_dicts()
    families = dict.fromkeys((*FAMILIES, *(row["family"] for row in rows)))
    grouped = [(capital(family), [row for row in rows if row["family"] == family]) for family in families]
    return [(family, checks) for family, checks in grouped if checks]


def _remarks(remarks: pl.DataFrame) -> list[Row]:
    """Count what was noticed while reading, by kind, element and code; a bare code is no value of a patient."""
    counted = (
        remarks.group_by("remark", "element", "code")
        .agg(times=pl.len(), reports=pl.col("report").n_unique())
        .sort("remark", "element", "code", nulls_last=True)
    )
    return [
        row | {"sentence": REMARKS.get(row["remark"], f"{capital(spaced(row['remark']))}.")}
        for row in counted.to_dicts()
    ]


def _answerable(month: Month, editions: tuple[Edition, ...], words: Vocabulary) -> list[Answerable]:
    rules: dict[str, Rule] = {rule.id: rule for edition in editions for rule in edition.rules.values()}
    newest = words.edition.rules
    return [
        Answerable(each, tuple(fields_of(each.rule, words)) if each.rule.id in newest else ())
        for each in completeness_of(month.determinations, rules.values())
    ]


def _unclaimed(facts: pl.DataFrame, words: list[Vocabulary]) -> list[Row]:
    """Count the facts that no concept of the editions in force claims, by element and never by value."""
    known = facts["item"].cast(pl.String).to_list()
    claimed = {item for each in words for item in each.concepts.items(known, *each.concepts.named)}
    return (
        facts.with_columns(pl.col("item").cast(pl.String))
        .filter(~pl.col("item").is_in(sorted(claimed)))
        .with_columns(element=pl.col("item").str.splitn("=", 2).struct.field("field_0").str.strip_prefix(CUSTOM))
        .group_by("element")
        .agg(pl.col("facts").sum())
        .sort("element")
        .to_dicts()
    )


def _kinds(month: Month) -> list[Row]:
    """Count the reports by version of the standard and by subset."""
    kinds = month.batch.reports.group_by("standard_version", "subset").agg(reports=pl.len()).collect()
    return kinds.with_columns(pl.col("subset").cast(pl.String)).sort("standard_version", "subset").to_dicts()


def _own_fields(month: Month, settings: Settings) -> list[Row]:
    """Return the service's own elements that the files use, each with the concept the settings map it to (or null)."""
    rows = month.batch.definitions.sort("custom_id").to_dicts()
    mapped = settings.custom_elements
    return [row | {"concept": mapped[row["custom_id"]].concept if row["custom_id"] in mapped else None} for row in rows]
