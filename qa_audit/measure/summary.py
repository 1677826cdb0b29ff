"""Summary: what summary.json says of one month, in reports after the roll-up."""

from __future__ import annotations

from importlib.metadata import version
from typing import Any

import polars as pl

from qa_audit import __version__
from qa_audit.rules import Ruleset
from qa_audit.tables import Month
from qa_audit.tables.determinations import OUTCOME_WORDS
from qa_audit.tables.figures import Figures

LIBRARIES = ("polars", "great-expectations", "lxml")
"""Those whose version can change what is read, gated or judged."""


def summary(
    month: Month, figures: Figures, ruleset: Ruleset, settings_digest: str, key_fingerprint: str
) -> dict[str, Any]:
    """Return the contents of a month's summary.json; `undated` has the same numbers and no rules.

    Outcomes of a rule add up to the reports it was asked of; `cannot_tell` here includes what no field or no edition
    could answer.
    """
    labels = month.determinations["edition"].drop_nulls().unique().sort()
    return {
        "month": month.month,
        "version": month.version,
        "audited_on": month.audited_on.isoformat(),
        "reports_read": month.reports_read,
        "admitted": month.admitted,
        "held_back": month.held_back,
        "rules": _rules(figures.reasons.filter(pl.col("month") == month.month)),
        "editions": [_edition(ruleset, label) for label in labels],
        "inputs": [{"sha256": source.sha256, "reports": source.reports} for source in month.batch.sources],
        "settings_digest": settings_digest,
        "key_fingerprint": key_fingerprint,
        "versions": {"qa-audit": __version__, **{name: version(name) for name in LIBRARIES}},
    }


def _rules(reasons: pl.DataFrame) -> dict[str, dict[str, int]]:
    counted = reasons.group_by("rule", "outcome").agg(pl.col("reports").sum()).rows_by_key("rule")
    outcomes = {rule: dict(rows) for rule, rows in sorted(counted.items())}
    return {rule: {word: found.get(word, 0) for word in OUTCOME_WORDS} for rule, found in outcomes.items()}


def _edition(ruleset: Ruleset, label: str) -> dict[str, str]:
    name, _, folder = label.partition("@")
    return {"name": name, "date": folder, "digest": ruleset.by_label(label).digest}
