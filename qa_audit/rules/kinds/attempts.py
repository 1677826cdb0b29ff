"""attempts: no more than so many attempts are documented in a sequence."""

from __future__ import annotations

from datetime import timedelta
from typing import ClassVar, Literal

import polars as pl
from pydantic import Field

from qa_audit.rules.kinds.check import CheckKind, as_opportunities
from qa_audit.rules.view import ChartView, is_first_of


class Attempts(CheckKind):
    """One row per report, decided by its worst sequence; the amount is the largest lower bound of a sequence.

    Two definitions of an attempt are in print (laryngoscopy; laryngoscopy and tube): `counts` says which is meant.
    """

    once_a_report: ClassVar[bool] = True
    amount_unit: ClassVar[str | None] = "attempts"

    kind: Literal["attempts"]
    procedure: str
    only_without_it: str
    """The induction: its rows count only when the report has no row of the procedure."""
    reopened_by: tuple[str, ...]
    failed_effort: str
    confirmed: str
    not_expected_in: str
    """Service types in which a confirmed tube may have been placed by others (transfers between facilities)."""
    at_most: int = Field(ge=0)
    double_entry_minutes: int = Field(ge=0)
    counts: str

    def anchor_name(self) -> str:
        """Return the procedure."""
        return self.procedure

    def sentence(self) -> str:
        """Return the check in plain words."""
        times = "one attempt" if self.at_most == 1 else f"{self.at_most} attempts"
        return f"No more than {times} is documented in a row ({self.counts}); a tube that came out starts a new count."

    def reads(self) -> frozenset[str]:
        """Return every concept the check names."""
        named = (self.procedure, self.only_without_it, self.failed_effort, self.confirmed, self.not_expected_in)
        return frozenset({*named, *self.reopened_by})

    def needs(self) -> tuple[str, ...]:
        """Return the procedure: its count is part of the same entry."""
        return (self.procedure, self.only_without_it)

    def judge(self, view: ChartView) -> pl.LazyFrame:
        """Return one opportunity for each report with a row of the procedure, or a confirmed tube without one."""
        rows = self._rows(view)
        judged = self._judge_rows(view, rows)
        conflicted = self._only_conflicts(view, rows)
        confirmed = self._confirmed_only(view)
        return pl.concat([as_opportunities(judged), as_opportunities(conflicted), as_opportunities(confirmed)])

    def evidence(self, view: ChartView, opportunities: pl.LazyFrame) -> pl.LazyFrame:
        """Return every row of the procedure, the induction, complications and confirmations of the report."""
        named = (self.procedure, self.only_without_it, *self.reopened_by, self.failed_effort, self.confirmed)
        facts = view.facts(*named).select("report", "fact")
        return opportunities.select("row", "report").join(facts, on="report").select("row", "fact")

    def _rows(self, view: ChartView) -> pl.LazyFrame:
        """Return the rows that count, in time order (untimed last, then as charted)."""
        tubes = view.own(self.procedure)
        inductions = view.own(self.only_without_it).join(tubes, on="report", how="anti")
        columns = ("report", "time", "call_group", "item", "count", "success", "member")
        return (
            pl.concat([tubes.select(columns), inductions.select(columns)])
            .sort("report", "time", "call_group", "item", nulls_last=True, maintain_order=True)
            .with_columns(first=is_first_of("report"), item=pl.col("item").cast(pl.String))
        )

    def _judge_rows(self, view: ChartView, rows: pl.LazyFrame) -> pl.LazyFrame:
        reopened = view.documented(*self.reopened_by).select("report").unique().with_columns(reopened=True)
        units = self._units(self._marked(rows.join(reopened, on="report", how="left", maintain_order="left")))
        sequences = units.group_by("report", "sequence").agg(
            bound=self._bound(),
            conflict=pl.col("conflict").any(),
            unknown=pl.col("unknown").any(),
        )
        reports = sequences.group_by("report").agg(
            amount=pl.col("bound").max(), conflict=pl.col("conflict").any(), unknown=pl.col("unknown").any()
        )
        alone = rows.group_by("report").agg(
            time=pl.col("time").min(),
            until=pl.col("time").max(),
            lone_success=(pl.len() == 1) & pl.col("success").first() & (pl.col("count").first() == 1),
        )
        effort = view.documented(self.failed_effort).select("report").unique().with_columns(effort=True)
        outcome = reports.join(alone, on="report").join(effort, on="report", how="left")
        conflict = pl.col("conflict") | (pl.col("lone_success").fill_null(value=False) & pl.col("effort").is_not_null())
        over, known = pl.col("amount") > self.at_most, ~pl.col("unknown")
        return outcome.with_columns(
            outcome=pl.when(over).then(pl.lit("not_met")).when(conflict | ~known).then(pl.lit("cannot_tell"))
            .otherwise(pl.lit("met")),
            reason=pl.when(over).then(None).when(conflict).then(pl.lit("chart_conflict"))
            .when(~known).then(pl.lit("not_documented")),
        )  # fmt: skip

    def _marked(self, rows: pl.LazyFrame) -> pl.LazyFrame:
        """Mark what each row is to the row before it: a part of the same attempt, a double entry, after a success."""
        same_report = ~pl.col("first")
        other_code = pl.col("item") != pl.col("item").shift(1)
        merged = same_report & other_code & pl.col("success").shift(1).ne_missing(other=False)
        succeeded = pl.col("success").eq_missing(other=True)
        before = (succeeded.cast(pl.Int32).cum_sum() - succeeded.cast(pl.Int32)).cast(pl.Int32)
        rows = rows.with_columns(merged=merged, before=before, reopened=pl.col("reopened").fill_null(value=False))
        successes = pl.col("before") - pl.when(pl.col("first")).then(pl.col("before")).forward_fill()
        soon = (pl.col("time") - pl.col("time").shift(1)) <= timedelta(minutes=self.double_entry_minutes)
        another = (pl.col("member") != pl.col("member").shift(1)).fill_null(value=False)
        same_result = pl.col("success").eq_missing(pl.col("success").shift(1))
        # Without a time the two may well lie within the minutes: the doubt falls toward the crew.
        double = same_report & ~other_code & soon.fill_null(value=True) & (same_result | another)
        return rows.with_columns(successes=successes, double=double).with_columns(
            after_success=(pl.col("successes") > 0) & ~pl.col("reopened") & ~pl.col("merged"),
            sequence=pl.col("successes"),
        )

    def _units(self, rows: pl.LazyFrame) -> pl.LazyFrame:
        """Join merged rows into one attempt with the larger count; a null count stands as 1, a lower bound.

        A sequence runs up to its success; rows behind it are another, or in conflict where nothing reopened it.
        """
        units = rows.with_columns(unit=(~pl.col("merged")).cast(pl.UInt32).cum_sum())
        return (
            units.group_by("unit", maintain_order=True)
            .agg(
                pl.col("report").first(),
                pl.col("sequence").first(),
                pl.col("double").any(),
                pl.col("after_success").first(),
                counted=pl.col("count").fill_null(1).cast(pl.Int64).max(),
                numbered=pl.col("count").is_not_null().any(),
                unknown=pl.col("count").is_null().any(),
            )
            .with_columns(place=pl.int_range(pl.len()))
            .with_columns(
                place=pl.col("place") - pl.when(is_first_of("report", "sequence")).then("place").forward_fill() + 1
            )
            .pipe(self._exempt_running_numbers)
        )

    def _exempt_running_numbers(self, units: pl.LazyFrame) -> pl.LazyFrame:
        """Mark sequences whose counts read exactly 1..n over at least two rows; they hold no double entries."""
        running = units.group_by("report", "sequence").agg(
            running=(pl.len() > 1)
            & ((pl.col("counted") == pl.col("place")) & pl.col("numbered")).all()
            & ~pl.col("after_success").any()
        )
        joined = units.join(running, on=("report", "sequence"), how="left", maintain_order="left")
        return joined.with_columns(conflict=pl.col("after_success") | (pl.col("double") & ~pl.col("running")))

    def _bound(self) -> pl.Expr:
        """Return a sequence's lower bound: n of running numbers 1..n, else the sum without rows in conflict."""
        added = pl.col("counted").filter(~pl.col("conflict")).sum()
        return pl.when(pl.col("running").first()).then(pl.len().cast(pl.Int64)).otherwise(added).cast(pl.Float64)

    def _only_conflicts(self, view: ChartView, rows: pl.LazyFrame) -> pl.LazyFrame:
        """Return reports whose only rows are affirmed and denied at one instant."""
        torn = view.own_in_conflict(self.procedure, self.only_without_it).join(rows, on="report", how="anti")
        return torn.group_by("report").agg(time=pl.col("time").min(), until=pl.col("time").max()).with_columns(
            outcome=pl.lit("cannot_tell"), reason=pl.lit("chart_conflict")
        )  # fmt: skip

    def _confirmed_only(self, view: ChartView) -> pl.LazyFrame:
        """Return reports with a confirmed tube and no row of anyone's; not on transfers between facilities."""
        charted = view.documented(self.procedure, self.only_without_it)
        torn = view.own_in_conflict(self.procedure, self.only_without_it)
        transfers = view.documented(self.not_expected_in)
        return (
            view.own(self.confirmed)
            .join(charted, on="report", how="anti")
            .join(torn, on="report", how="anti")
            .join(transfers, on="report", how="anti")
            .group_by("report")
            .agg(time=pl.col("time").min(), until=pl.col("time").max())
            .with_columns(outcome=pl.lit("cannot_tell"), reason=pl.lit("not_documented"))
        )
