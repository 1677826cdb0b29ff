"""Equipment lists: what the report says each crew member wore, and for whom a list speaks.

The standard gives equipment no time, so a list holds for the whole call; a group without any item is no list.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import polars as pl

from qa_audit.rules.charts import is_one_of
from qa_audit.rules.concept import CUSTOM
from qa_audit.rules.view import ChartView


@dataclass(frozen=True)
class EquipmentLists:
    """The concepts a check looks for on a list (see CompanionForMembers for each)."""

    items: tuple[str, ...]
    needed: tuple[str, ...]
    instead: tuple[str, ...]
    unclear: tuple[str, ...]


def judge_lists(view: ChartView, present: pl.LazyFrame, wanted: EquipmentLists) -> pl.LazyFrame:
    """Add `outcome` and `reason` to rows of `report`, `member`, `local_date`, from the report's equipment lists."""
    lists = _lists(view, wanted, present.select("report").unique())
    own = lists.filter(pl.col("member").is_not_null()).drop("call_group")
    of_report = lists.group_by("report").agg(
        lists=pl.len(),
        sole_unnamed=(pl.len() == 1) & pl.col("member").is_null().all(),
        some_satisfies=pl.col("has_needed").any(),
    )
    rows = present.join(own, on=("report", "member"), how="left").join(of_report, on="report", how="left")
    choices = view.choices
    crew_list = _since(choices.equipment_speaks_for_crew_from)
    complete = _since(choices.equipment_lists_complete_from)
    has_own = pl.col("has_needed").is_not_null()
    speaks = (pl.col("sole_unnamed") | crew_list).fill_null(value=False)
    crew_satisfied = ~has_own & speaks & pl.col("some_satisfies").fill_null(value=False)
    met = pl.col("has_needed").fill_null(value=False) | crew_satisfied
    contrary = pl.col("has_instead") | pl.col("has_negated") | complete
    return rows.with_columns(
        outcome=pl.when(met).then(pl.lit("met"))
        .when(~has_own | pl.col("has_unclear") | ~contrary).then(pl.lit("cannot_tell"))
        .otherwise(pl.lit("not_met")),
        reason=pl.when(met).then(None)
        .when(~has_own).then(pl.lit("not_documented"))
        .when(pl.col("has_unclear") | ~contrary).then(pl.lit("list_incomplete")),
    )  # fmt: skip


def _lists(view: ChartView, wanted: EquipmentLists, reports: pl.LazyFrame) -> pl.LazyFrame:
    """Return a row for each list: a member's groups together, each group without id by itself."""
    present, negated = pl.col("status") == "present", pl.col("status") == "negated"
    unreadable = (pl.col("status") == "missing") & (pl.col("why") == "unknown_code")
    facts = view.facts(*wanted.items).filter(present | negated | unreadable).join(reports, on="report", how="semi")
    marked = facts.select(
        "report",
        "member",
        "call_group",
        has_needed=view.is_of(*wanted.needed) & present,
        has_negated=view.is_of(*wanted.needed) & negated,
        has_instead=view.is_of(*wanted.instead) & present,
        has_unclear=view.is_of(*wanted.unclear) & (present | unreadable),
    )
    flags = ("has_needed", "has_negated", "has_instead", "has_unclear")
    groups = marked.group_by("report", "call_group").agg(pl.col("member").max(), pl.col(*flags).any())
    groups = groups.join(_unmapped(view), on=("report", "call_group"), how="left").with_columns(
        has_unclear=pl.col("has_unclear") | pl.col("unmapped").fill_null(value=False)
    )
    whose = pl.when(pl.col("member").is_null()).then("call_group").otherwise(None)
    return groups.group_by("report", "member", call_group=whose).agg(pl.col(*flags).any())


def _unmapped(view: ChartView) -> pl.LazyFrame:
    """Return the groups (`report`, `call_group`) that hold an agency's value which the settings do not map."""
    items = [item for item in view.known_items if item.startswith(CUSTOM) and item not in view.concepts.custom]
    found = view.every_fact.filter(is_one_of(items), pl.col("call_group").is_not_null())
    return found.select("report", "call_group", unmapped=pl.lit(value=True)).unique()


def _since(day: date | None) -> pl.Expr:
    return pl.lit(value=False) if day is None else (pl.col("local_date") >= day).fill_null(value=False)
