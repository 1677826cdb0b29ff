"""Facts: one row for each documented code, measurement or time, and for each such element that stands empty."""

from __future__ import annotations

import polars as pl

from qa_audit.ingest.cells import CustomResults
from qa_audit.ingest.standard.words import TO_MMHG
from qa_audit.ingest.tabling.times import instant
from qa_audit.tables import FACTS
from qa_audit.tables.facts import STATUSES

CARBON_DIOXIDE = "eVitals.16"
DRUG, PROCEDURE = "eMedications.03", "eProcedures.03"
OWN_GROUPS_MEMBERS = ("eOther.EMSCrewMemberGroup",)


def facts(cells: pl.DataFrame, groups: pl.DataFrame, custom: CustomResults) -> pl.DataFrame:
    """Return the facts of a task in document order, the agency's own last in each report; numbered later."""
    shared = groups.lazy().select(
        "group",
        "call_group",
        "time",
        "member",
        "role",
        "by_others",
        "dose",
        "dose_unit",
        "count",
        "success",
        "negated",
        "kind",
    )
    both = pl.concat([_coded(cells.lazy(), shared), _custom(custom, shared)])
    return (
        FACTS.conform(both.sort("report", maintain_order=True).with_columns(fact=pl.lit(0), until=None))
        .drop("fact")
        .collect()
    )


def _coded(cells: pl.LazyFrame, shared: pl.LazyFrame) -> pl.LazyFrame:
    rows = cells.filter("fact").join(shared, on="group", how="left", maintain_order="left")
    element = pl.col("element")
    is_coded = pl.col("item").is_not_null()
    taken_along = pl.col("negated").is_not_null() & (pl.col("status") == "present")
    factor = pl.col("carbon_dioxide_type").replace_strict(TO_MMHG, default=None, return_dtype=pl.Float64)
    is_carbon_dioxide, is_drug, is_procedure = element == CARBON_DIOXIDE, element == DRUG, element == PROCEDURE
    named_drug, named_procedure = is_drug & is_coded, is_procedure & is_coded
    value = (
        pl.when(is_carbon_dioxide).then((pl.col("value") * factor.fill_null(1.0)).round(6))
        .when(named_drug).then("dose")
        .when(pl.col("form").is_in(["number", "score"])).then("value")
    )  # fmt: skip
    unit = (
        pl.when(is_carbon_dioxide).then(pl.when((factor * pl.col("value")).is_not_null()).then(pl.lit("mmHg")))
        .when(named_drug).then("dose_unit")
        .when(pl.col("value").is_not_null()).then("unit")
    )  # fmt: skip
    return rows.select(
        "report",
        item=pl.coalesce("item", element.cast(pl.String)),
        time=pl.when(pl.col("form") == "time").then("moment").otherwise("time"),
        value=pl.when(pl.col("status") != "missing").then(value),
        unit=unit,
        count=pl.when(named_procedure).then("count"),
        success=pl.when(named_procedure).then("success"),
        member="member",
        role="role",
        status=pl.when(taken_along).then(pl.lit("negated", STATUSES)).otherwise("status"),
        why=pl.when(taken_along).then("negated").otherwise("why"),
        call_group="call_group",
        origin=pl.lit("coded"),
        by_others=pl.when(pl.col("group").is_null()).then(pl.lit(value=False)).otherwise("by_others"),
    )


def _custom(custom: CustomResults, shared: pl.LazyFrame) -> pl.LazyFrame:
    rows = pl.DataFrame(
        {
            "report": pl.Series(custom.report, dtype=pl.UInt32),
            "item": pl.Series(custom.item, dtype=pl.String),
            "status": pl.Series(custom.status, dtype=STATUSES),
            "why": pl.Series(custom.why, dtype=pl.String),
            "value": pl.Series(custom.value, dtype=pl.Float64),
            "written": pl.Series(custom.moment, dtype=pl.String),
            "group": pl.Series(custom.group, dtype=pl.UInt32),
        }
    ).lazy()
    tied = rows.join(shared.drop("time"), on="group", how="left", maintain_order="left").with_columns(
        moment=instant(pl.col("written"))
    )
    unread = pl.col("written").is_not_null() & pl.col("moment").is_null()
    worn = pl.col("kind").cast(pl.String).is_in(OWN_GROUPS_MEMBERS)
    return tied.select(
        "report",
        "item",
        time="moment",
        value="value",
        unit=pl.lit(None, pl.String),
        count=pl.lit(None, pl.UInt8),
        success=pl.lit(None, pl.Boolean),
        member=pl.when(worn).then("member"),
        role=pl.lit(None, pl.String),
        status=pl.when(unread).then(pl.lit("missing", STATUSES)).otherwise("status"),
        why=pl.when(unread).then(pl.lit("unknown_code")).otherwise("why"),
        call_group="call_group",
        origin=pl.lit("custom"),
        by_others=pl.when(pl.col("group").is_null()).then(pl.lit(value=False)).otherwise("by_others"),
    )
