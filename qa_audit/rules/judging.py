"""One rule on one edition's view: applies, exclude, check, except, and what the strength allows."""

from __future__ import annotations

import polars as pl

from qa_audit.rules.kinds import OPPORTUNITIES
from qa_audit.rules.rule import Rule
from qa_audit.rules.view import ChartView


def judge_rule(rule: Rule, view: ChartView, not_yet_asked: pl.Expr | None = None) -> pl.LazyFrame:
    """Return the rule's opportunities, columns as OPPORTUNITIES.

    What a report's version, subset or the agency's fields cannot carry is `not_assessable`; so is silence in an
    agency field where `not_yet_asked` holds (over `time` and the columns of reports): crews were not told to chart it.
    """
    found = rule.check.judge(view)
    if rule.applies:
        found = found.join(_any_of(view, rule.applies), on="report", how="semi")
    found = _unassessable(rule, view, found, not_yet_asked)
    found = _excepted(rule, view, _excluded(rule, view, found))
    against = pl.col("outcome") == "not_met"
    if rule.strength == "may":
        found = found.with_columns(
            outcome=pl.when(against).then(pl.lit("cannot_tell")).otherwise("outcome"),
            reason=pl.when(against).then(pl.lit("not_documented")).otherwise("reason"),
        )
    by_system = pl.lit(value=True) if rule.answerable_by == "system" else pl.col("by_system") | pl.col("national")
    return found.with_columns(by_system=by_system).select(*OPPORTUNITIES)


def _any_of(view: ChartView, cohorts: tuple[str, ...]) -> pl.LazyFrame:
    return pl.concat([view.cohort(name) for name in cohorts]).unique()


def _unassessable(rule: Rule, view: ChartView, found: pl.LazyFrame, not_yet_asked: pl.Expr | None) -> pl.LazyFrame:
    needed = rule.check.needs()
    blind = pl.col("assessable").not_()
    if not_yet_asked is not None and view.rests_on_agency_fields(*needed):
        blind = blind | ((pl.col("reason") == "not_documented") & not_yet_asked).fill_null(value=False)
    traits = view.reports.select(
        *("report", "at_patient", "unit_notified", "offset_minutes"),
        national=pl.col("subset") == "national",
        assessable=view.assessable(*needed),
    )
    return found.join(traits, on="report", how="left").with_columns(
        outcome=pl.when(blind).then(pl.lit("cannot_tell")).otherwise("outcome"),
        reason=pl.when(blind).then(pl.lit("not_assessable")).otherwise("reason"),
        amount=pl.when(~blind).then("amount"),
    )


def _excluded(rule: Rule, view: ChartView, found: pl.LazyFrame) -> pl.LazyFrame:
    for name in reversed(rule.exclude):
        member = view.cohort(name).with_columns(inside=pl.lit(value=True))
        inside = pl.col("inside").is_not_null()
        found = found.join(member, on="report", how="left").with_columns(
            outcome=pl.when(inside).then(pl.lit("excluded")).otherwise("outcome"),
            reason=pl.when(inside).then(pl.lit(name)).otherwise("reason"),
            amount=pl.when(~inside).then("amount"),
        ).drop("inside")  # fmt: skip
    return found


def _excepted(rule: Rule, view: ChartView, found: pl.LazyFrame) -> pl.LazyFrame:
    """Ask the exceptions of what was not met; the first one documented counts."""
    for exception in reversed(rule.exceptions):
        documented = view.documented(exception.concept).select("report").unique()
        held = found.join(documented.with_columns(held=pl.lit(value=True)), on="report", how="left")
        excused = pl.col("held").is_not_null() & (pl.col("outcome") == "not_met")
        found = held.with_columns(
            outcome=pl.when(excused).then(pl.lit("excepted")).otherwise("outcome"),
            reason=pl.when(excused).then(pl.lit(f"{exception.reason}:{exception.id}")).otherwise("reason"),
        ).drop("held")
    return found
