"""determinations: one row for each opportunity (and member) of each rule."""

from __future__ import annotations

import polars as pl

from qa_audit.tables.table import INSTANT, Column, Table

OUTCOME_WORDS = ["not_met", "cannot_tell", "met", "excepted", "excluded"]
"""In the order of the roll-up: the first that any opportunity has is the report's."""
OUTCOMES = pl.Enum(OUTCOME_WORDS)

CANNOT_TELL_REASONS = [
    "not_documented",
    "time_missing",
    "time_precision",
    "too_few_readings",
    "therapy_end_unknown",
    "list_incomplete",
    "chart_conflict",
    "no_edition",
    "not_assessable",
]
"""In the order in which a roll-up picks the first."""

DETERMINATIONS = Table(
    "determinations",
    {
        "report": Column(pl.UInt32, "the report"),
        "report_id": Column(pl.String, "pseudonym of the report"),
        "recipient": Column(pl.String, "who a letter is for", "nobody known"),
        "member": Column(pl.String, "the crew member judged", "the rule judges no members, or no id is known"),
        "rule": Column(pl.String, "rule id"),
        "edition": Column(pl.String, "name@date of the edition that decided", "no edition was in force"),
        "rule_hash": Column(pl.String, "SHA-256 of what judges in the rule and its concepts"),
        "opportunity": Column(pl.String, "concept@YYYY-MM-DDThh:mm:ssZ#n, concept@untimed#n, or report"),
        "time": Column(INSTANT, "the opportunity's own time", "its facts carry none"),
        "outcome": Column(OUTCOMES, "met, not_met, cannot_tell, excluded, excepted"),
        "reason": Column(pl.Categorical, "why it cannot be told, is excluded or excepted", "met and not_met"),
        "amount": Column(pl.Float64, "how much, in amount_unit", "the rule measures nothing here"),
        "amount_unit": Column(pl.String, "minutes, attempts", "as amount"),
        "answerable_by": Column(pl.Enum(["crew", "system"]), "who can answer a finding"),
        "narrative": Column(pl.Enum(["supports", "against"]), "what the narrative says", "nothing, or not read"),
        "kinder_of": Column(pl.String, "the other edition that answered too", "one edition decided alone"),
        "evidence": Column(pl.List(pl.UInt32), "fact numbers it rests on", "the report is not listed"),
        "evidence_digest": Column(pl.String, "SHA-256 over outcome and evidence, without fact numbers", "as evidence"),
    },
)
