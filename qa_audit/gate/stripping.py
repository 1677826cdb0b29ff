"""Stripping: a value that cannot be is taken out of the facts and listed among the remarks; its report stays."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import polars as pl

from qa_audit.gate.checks.coherence import confirmed_codes
from qa_audit.gate.checks.plausibility import impossible_dose, impossible_saturation, is_dose
from qa_audit.gate.judge import Answer
from qa_audit.gate.sheet import Sheet
from qa_audit.tables import REMARKS, Batch
from qa_audit.tables.facts import STATUSES

IMPOSSIBLE_VALUE = "impossible_value"
"""Word among the remarks and in `facts.why` for a value that the gate stripped."""
UNKNOWN_TUBE_CODE = "unknown_tube_code"
"""Word among the remarks for a procedure code that a tube confirmation names and no intubation concept holds."""


@dataclass(frozen=True)
class Strip:
    """Which facts a strip check takes the value of: facts that `is_asked`, of which `impossible` is true."""

    is_asked: Callable[[Sheet], pl.Expr]
    impossible: Callable[[], pl.Expr]


STRIPS = {
    "saturations_possible": Strip(
        lambda sheet: pl.col("item").is_in(sorted(sheet.concepts["oxygen_saturation"])), impossible_saturation
    ),
    "doses_possible": Strip(lambda _: is_dose(), impossible_dose),
}


def strip(batch: Batch, sheet: Sheet, answers: dict[str, Answer], more_remarks: list[pl.LazyFrame]) -> Batch:
    """Take the impossible values out of the reports that failed a strip check.

    A measurement becomes `missing`; a drug stays present, its dose unknown. Each stripped fact leaves a remark.
    """
    facts, remarks = batch.facts, [batch.remarks, *more_remarks]
    for name, rule in STRIPS.items():
        failed = answers[name].failed
        if not failed:
            continue
        gone = pl.col("report").is_in(failed) & rule.is_asked(sheet) & rule.impossible().fill_null(value=False)
        remarks.append(_remarks(batch.facts.filter(gone), IMPOSSIBLE_VALUE))
        facts = facts.with_columns(_without_value(gone))
    if len(remarks) == 1:
        return batch
    return replace(batch, facts=facts, remarks=pl.concat(remarks))


def listed(sheet: Sheet, answers: dict[str, Answer]) -> list[pl.LazyFrame]:
    """Return remarks that list what somebody must see to mend it: the tube codes that no concept holds."""
    if not answers["confirmed_tube_code_known"].failed:
        return []
    return [_remarks(confirmed_codes(sheet).filter(~pl.col("known")), UNKNOWN_TUBE_CODE)]


def _without_value(gone: pl.Expr) -> list[pl.Expr]:
    measurement = gone & ~pl.col("item").cast(pl.String).str.contains("=", literal=True)
    return [
        pl.when(gone).then(None).otherwise("value").alias("value"),
        pl.when(measurement).then(pl.lit("missing", STATUSES)).otherwise("status").alias("status"),
        pl.when(gone).then(pl.lit(IMPOSSIBLE_VALUE)).otherwise("why").alias("why"),
    ]


def _remarks(facts: pl.LazyFrame, word: str) -> pl.LazyFrame:
    """List facts by element and, where they have one, code."""
    parts = pl.col("item").cast(pl.String).str.split_exact("=", 1)
    named = facts.with_columns(element=parts.struct[0], code=parts.struct[1], remark=pl.lit(word))
    return REMARKS.conform(named)
