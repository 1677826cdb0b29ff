"""great-expectations judges: it says which rows fail, and only what it says counts.

Measured on great-expectations 1.24: an expectation costs 10 to 40 ms whatever the number of rows. So a column of
`reports` has an expectation of its own, and what spans tables or compares two numbers is judged in two long tables
(one row for each check and report asked), one expectation each. Row numbers come from the default index: naming an
index column is ten times slower when hundreds of thousands of rows fail, and the default needs no switch for that.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

import polars as pl

from qa_audit.gate.check import Between, OneOf, Recorded

RESULT_FORMAT = {"result_format": "COMPLETE", "return_unexpected_index_query": False, "partial_unexpected_count": 0}


@dataclass(frozen=True)
class Answer:
    """The numbers of the reports that a check was asked of, and of those that failed it, sorted."""

    asked: list[int]
    failed: list[int]


NOT_ASKED = Answer([], [])


def judge_columns(
    reports: pl.DataFrame, questions: Mapping[str, Recorded | OneOf | Between], thresholds: Mapping[str, float]
) -> dict[str, Answer]:
    """Judge columns of `reports`; gives an answer for each question's name."""
    if reports.is_empty() or not questions:
        return {}
    frame = reports.select(sorted({question.column for question in questions.values()}))
    expectations = [_on_column(name, question, thresholds) for name, question in questions.items()]
    numbers = reports["report"].to_list()
    return {
        name: Answer(_asked(reports, questions[name]), sorted(numbers[row] for row in rows))
        for name, rows in _validate(frame, expectations)
    }


def _asked(reports: pl.DataFrame, question: Recorded | OneOf | Between) -> list[int]:
    asked = reports if isinstance(question, Recorded) else reports.drop_nulls(question.column)
    return asked["report"].to_list()


def judge_statements(statements: pl.DataFrame) -> dict[str, Answer]:
    """Judge the long table `check`, `report`, `holds`: every statement is true."""
    if statements.is_empty():
        return {}
    from great_expectations import expectations  # noqa: PLC0415 - imports for seconds

    true = expectations.ExpectColumnValuesToBeInSet(column="holds", value_set=[True], meta={"check": "statements"})
    ((_, rows),) = _validate(statements.select("holds"), [true])
    return _by_check(statements, rows)


def judge_orders(orders: pl.DataFrame) -> dict[str, Answer]:
    """Judge the long table `check`, `report`, `greater`, `lesser`: the one is at least the other."""
    if orders.is_empty():
        return {}
    from great_expectations import expectations  # noqa: PLC0415 - imports for seconds

    in_order = expectations.ExpectColumnPairValuesAToBeGreaterThanB(
        column_A="greater", column_B="lesser", or_equal=True, meta={"check": "orders"}
    )
    ((_, rows),) = _validate(orders.select("greater", "lesser"), [in_order])
    return _by_check(orders, rows)


def _by_check(table: pl.DataFrame, rows: list[int]) -> dict[str, Answer]:
    failed = table.select("check", "report")[rows].group_by("check").agg(pl.col("report").sort().alias("failed"))
    asked = table.group_by("check").agg(pl.col("report").sort().alias("asked")).join(failed, on="check", how="left")
    return {row["check"]: Answer(row["asked"], row["failed"] or []) for row in asked.iter_rows(named=True)}


def _on_column(name: str, question: Recorded | OneOf | Between, thresholds: Mapping[str, float]) -> Any:
    from great_expectations import expectations  # noqa: PLC0415 - imports for seconds

    meta = {"check": name}
    match question:
        case Recorded(column):
            return expectations.ExpectColumnValuesToNotBeNull(column=column, meta=meta)
        case OneOf(column, allowed):
            return expectations.ExpectColumnValuesToBeInSet(column=column, value_set=list(allowed), meta=meta)
        case Between(column, low, high):
            return expectations.ExpectColumnValuesToBeBetween(
                column=column, min_value=thresholds[low], max_value=thresholds[high], meta=meta
            )


@cache
def _context() -> Any:
    """Return the library's context, in memory only, without progress bars."""
    import great_expectations as gx  # noqa: PLC0415 - imports for seconds
    from great_expectations.data_context.types.base import ProgressBarsConfig  # noqa: PLC0415 - as above

    context = gx.get_context(mode="ephemeral")
    context.variables.progress_bars = ProgressBarsConfig(globally=False, metric_calculations=False)
    return context


def _validate(frame: pl.DataFrame, expectations: list[Any]) -> list[tuple[str, list[int]]]:
    """Validate a frame; gives, for each expectation, its check's name and every failing row number."""
    from great_expectations import ExpectationSuite  # noqa: PLC0415 - imports for seconds

    asset = _context().data_sources.add_or_update_pandas("gate").add_dataframe_asset("frame")
    batch = asset.add_batch_definition_whole_dataframe("whole").get_batch({"dataframe": frame.to_pandas()})
    validation = batch.validate(ExpectationSuite("gate", expectations=expectations), result_format=RESULT_FORMAT)
    return [_read(result) for result in validation.results]


def _read(result: Any) -> tuple[str, list[int]]:
    """Read one result; an expectation that raised looks like a failed column, but is our bug and raises here."""
    name = result.expectation_config.meta["check"]
    faults = [part["exception_message"] for part in result.exception_info.values() if isinstance(part, dict)]
    if faults or result.exception_info["raised_exception"]:
        raise RuntimeError(f"The gate's check '{name}' could not be judged: {'; '.join(faults)}")
    rows = result.result["unexpected_index_list"]
    if len(rows) != result.result["unexpected_count"]:
        raise RuntimeError(f"The gate's check '{name}' names {len(rows)} of {result.result['unexpected_count']} rows.")
    return name, rows
