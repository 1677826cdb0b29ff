"""What the entries of one group share: time, performer, whose work it was, dose, attempts, success."""

from __future__ import annotations

import polars as pl

from qa_audit.ingest.standard.codes import NO, YES
from qa_audit.ingest.standard.elements import OURS_BY_NATURE
from qa_audit.ingest.standard.words import APPROXIMATE, UNITS

OTHERS_ROLES = ("9905021", "9905043", "9905045", "9905047", "9905049", "9905051")
"""Roles of people who are no crew: other non-healthcare, patient, lay person, police, family, fire without EMS."""

NEGATED_WHOLE = ("eMedications.03", "eProcedures.03")
"""Where a pertinent negative takes its whole group with it: nothing beside it is to be trusted."""

BARE_CODE = r"^\d{1,7}$"


def share(groups: pl.DataFrame, cells: pl.DataFrame, reports: pl.DataFrame) -> pl.DataFrame:
    """Return a row for each group: what its facts share.

    Columns: `group`, `report`, `kind`, `call_group`, `time`, `member`, `role`, `by_others` (null: unknown), `alone`
    (by others by the performer test alone), `dose`, `dose_unit`, `count`, `success`, `negated` (the PN that
    negates all of it).
    """
    said = groups.lazy().join(_said(cells), on="group", how="left", maintain_order="left")
    contact = reports.lazy().select("report", "at_patient")
    crew = cells.lazy().filter(
        pl.col("part") == "member", pl.col("element") == "eCrew.01", pl.col("text").is_not_null()
    )
    listed = crew.select("report", member="text", on_list=pl.lit(value=True)).unique()
    lists = crew.select("report", has_list=pl.lit(value=True)).unique()
    known = (
        said.join(contact, on="report", how="left", maintain_order="left")
        .join(lists, on="report", how="left", maintain_order="left")
        .join(listed, on=["report", "member"], how="left", maintain_order="left")
    )
    return (
        known.with_columns(by_others=_by_others(), alone=_by_performer_alone())
        .drop("has_list", "on_list", "at_patient")
        .collect()
    )


def _said(cells: pl.DataFrame) -> pl.LazyFrame:
    """Return what each group says of itself, a column for each part."""

    def first(part: str, column: str) -> pl.Expr:
        return pl.col(column).filter((pl.col("part") == part) & pl.col(column).is_not_null()).first()

    negative = pl.col("pn").filter(
        pl.col("element").cast(pl.String).is_in(NEGATED_WHOLE), pl.col("pn").is_not_null(), pl.col("pn") != APPROXIMATE
    )
    return (
        cells.lazy()
        .filter(pl.col("group").is_not_null())
        .group_by("group")
        .agg(
            time=first("time", "moment"),
            member=first("member", "text"),
            role=first("role", "text"),
            prior=first("prior", "text"),
            other_unit=first("other_unit", "text"),
            dose=first("dose", "value"),
            dose_unit=_dose_unit(),
            count=first("count", "value").cast(pl.UInt8),
            success=first("success", "text") == YES,
            negated=negative.first(),
        )
    )


def _dose_unit() -> pl.Expr:
    """Return the unit in words; one that the standard does not know stays one, or its dose would pass for a flow."""
    unknown = (
        pl.when(pl.col("stripped").str.contains(BARE_CODE))
        .then("stripped")
        .when(pl.col("stripped").is_not_null())
        .then(pl.lit("unknown"))
    )
    unit = pl.coalesce(pl.col("text").replace(UNITS), unknown)
    return unit.filter((pl.col("part") == "dose_unit") & unit.is_not_null()).first()


def _is_others_anyway() -> pl.Expr:
    """Say whether the report says itself that somebody else did it."""
    return (
        (pl.col("prior") == YES).fill_null(value=False)
        | (pl.col("other_unit") == YES).fill_null(value=False)
        | pl.col("role").is_in(OTHERS_ROLES).fill_null(value=False)
    )


def _is_stranger() -> pl.Expr:
    """Say whether a performer is named, the report lists a crew, and the performer is not on the list."""
    asked = pl.col("kind").cast(pl.String).is_in(["eMedications.MedicationGroup", "eProcedures.ProcedureGroup"])
    return asked & pl.col("member").is_not_null() & pl.col("has_list").is_not_null() & pl.col("on_list").is_null()


def _by_performer_alone() -> pl.Expr:
    return _is_stranger() & ~_is_others_anyway()


def _by_others() -> pl.Expr:
    """Say whose work it was, in the order in which the questions are to be asked; null is unknown."""
    after_contact = pl.col("prior").is_null() & (pl.col("time") >= pl.col("at_patient")).fill_null(value=False)
    return (
        pl.when(pl.col("kind").cast(pl.String).is_in(OURS_BY_NATURE)).then(pl.lit(value=False))
        .when(_is_others_anyway() | _is_stranger()).then(pl.lit(value=True))
        .when((pl.col("prior") == NO) | after_contact).then(pl.lit(value=False))
    )  # fmt: skip
