"""Asking checks of a sheet: polars works out the answers, great-expectations judges them."""

from __future__ import annotations

from collections.abc import Sequence

import polars as pl

from qa_audit.gate.check import AtLeast, AtMost, Between, Check, Holds, NotBefore, OneOf, Recorded
from qa_audit.gate.judge import NOT_ASKED, Answer, judge_columns, judge_orders, judge_statements
from qa_audit.gate.sheet import Sheet
from qa_audit.tables import RUN_CHECK_RESULTS

STATEMENTS = {"check": pl.String, "report": pl.UInt32, "holds": pl.Boolean}
ORDERS = {"check": pl.String, "report": pl.UInt32, "greater": pl.Float64, "lesser": pl.Float64}


def missing_concepts(check: Check, sheet: Sheet) -> list[str]:
    """Return the concepts that the check needs and the edition does not name; one no report uses is not missing."""
    return [name for name in check.concepts if name not in sheet.concepts]


def ask(checks: Sequence[Check], sheet: Sheet) -> dict[str, Answer]:
    """Ask every check; one that cannot be asked (no concept, nothing to compare with) has asked nobody."""
    askable = {
        check.name: check.asks for check in checks if check.asks is not None and not missing_concepts(check, sheet)
    }
    on_columns = {name: asks for name, asks in askable.items() if isinstance(asks, Recorded | OneOf | Between)}
    statements = [
        asks.of(sheet).select(pl.lit(name).alias("check"), "report", "holds").drop_nulls()
        for name, asks in askable.items()
        if isinstance(asks, Holds)
    ]
    orders = [
        _order(asks, sheet).select(pl.lit(name).alias("check"), *list(ORDERS)[1:]).drop_nulls()
        for name, asks in askable.items()
        if isinstance(asks, NotBefore | AtLeast | AtMost)
    ]
    reports, *frames = pl.collect_all([sheet.reports, *statements, *orders])
    answers = {
        **judge_columns(reports, on_columns, sheet.thresholds),
        **judge_statements(pl.concat([pl.DataFrame(schema=STATEMENTS), *frames[: len(statements)]])),
        **judge_orders(pl.concat([pl.DataFrame(schema=ORDERS), *frames[len(statements) :]])),
    }
    return {check.name: answers.get(check.name, NOT_ASKED) for check in checks}


def results(checks: Sequence[Check], answers: dict[str, Answer], sheet: Sheet) -> pl.DataFrame:
    """Make the `run_check_results` table, in the order of the checks."""
    return RUN_CHECK_RESULTS.frame(
        [
            {
                "check": check.name,
                "family": check.family,
                "verdict": check.verdict,
                "sentence": _sentence(check, sheet),
                "basis": check.basis,
                "asked": len(answers[check.name].asked),
                "failed": len(answers[check.name].failed),
                "failed_reports": answers[check.name].failed,
                "asked_reports": answers[check.name].asked,
            }
            for check in checks
        ]
    )


def _order(asks: NotBefore | AtLeast | AtMost, sheet: Sheet) -> pl.LazyFrame:
    """Give `report`, `greater`, `lesser` as numbers; an instant is its milliseconds, which a float holds exactly."""
    match asks:
        case NotBefore(later, earlier):
            greater, lesser = (pl.col(name).dt.epoch("ms").cast(pl.Float64) for name in (later, earlier))
            return sheet.reports.select("report", greater=greater, lesser=lesser)
        case AtLeast(of, threshold):
            bound = pl.lit(sheet.thresholds[threshold], pl.Float64)
            return of(sheet).select("report", greater=pl.col("value"), lesser=bound)
        case AtMost(of, threshold):
            bound = pl.lit(sheet.thresholds[threshold], pl.Float64)
            return of(sheet).select("report", greater=bound, lesser=pl.col("value"))


def _sentence(check: Check, sheet: Sheet) -> str:
    sentence = check.sentence.format_map(sheet.thresholds)
    missing = missing_concepts(check, sheet)
    if missing:
        return f"{sentence} Not asked: the ruleset has no concept {' or '.join(missing)}."
    return sentence
