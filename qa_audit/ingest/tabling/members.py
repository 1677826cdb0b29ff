"""Members: the crew list of each report, with roles, whether an equipment list names them, and exposure."""

from __future__ import annotations

import polars as pl

from qa_audit.ingest.standard.codes import YES
from qa_audit.tables import MEMBERS

CREW, EQUIPMENT = "eCrew.CrewGroup", "eOther.EMSCrewMemberGroup"


def members(cells: pl.DataFrame, groups: pl.DataFrame) -> pl.DataFrame:
    """Return a row for each member on a crew list, in list order; an entry without an id is a row of its own.

    A group in which everything stands empty is no entry; an id listed twice is one member with all its roles.
    """
    entries = _entries(cells, groups)
    worn = _worn(cells, groups)
    whose = pl.when(pl.col("member").is_null()).then("group")
    listed = (
        entries.with_columns(entry=whose)
        .group_by("report", "member", "entry", maintain_order=True)
        .agg(
            pl.col("level").drop_nulls().first(),
            pl.col("roles").list.explode(keep_nulls=False, empty_as_null=False).unique(maintain_order=True),
        )
    )
    joined = listed.join(worn, on=["report", "member"], how="left", maintain_order="left")
    return MEMBERS.conform(
        joined.with_columns(pl.col("ppe_recorded").fill_null(value=False)).sort("report", maintain_order=True)
    ).collect()


def _entries(cells: pl.DataFrame, groups: pl.DataFrame) -> pl.LazyFrame:
    def texts(part: str) -> pl.Expr:
        return pl.col("text").filter((pl.col("part") == part) & pl.col("text").is_not_null())

    said = (
        cells.lazy()
        .group_by("group")
        .agg(level=texts("level").first(), roles=texts("crew_role"), anything=pl.col("text").is_not_null().any())
    )
    crew = groups.lazy().filter(pl.col("kind") == CREW).select("group", "report", "member")
    return crew.join(said, on="group", how="left", maintain_order="left").filter("anything").sort("group")


def _worn(cells: pl.DataFrame, groups: pl.DataFrame) -> pl.LazyFrame:
    """Return, for each member that an equipment group names, whether it holds any item, and exposure."""
    item = (pl.col("element") == "eOther.03") & (pl.col("text").is_not_null() | pl.col("stripped").is_not_null())
    exposed = (pl.col("text").filter((pl.col("part") == "exposure") & pl.col("text").is_not_null()) == YES).max()
    said = cells.lazy().group_by("group").agg(ppe_recorded=item.any(), exposure=exposed)
    named = (
        groups.lazy()
        .filter(pl.col("kind") == EQUIPMENT, pl.col("member").is_not_null())
        .select("group", "report", "member")
    )
    return (
        named.join(said, on="group", how="left")
        .group_by("report", "member")
        .agg(pl.col("ppe_recorded").any(), pl.col("exposure").max())
    )
