"""Remarks: what was stripped or noticed while reading, a row for each; never a value beyond a bare code."""

from __future__ import annotations

import polars as pl

from qa_audit.ingest.cells import CustomResults, Remarked
from qa_audit.ingest.tabling.times import instant, offset_is_unknown
from qa_audit.tables import REMARKS

CODE_SHAPED = r"^(\d{1,7}|[A-Z]\d[0-9A-Z]{1,5}(\.[0-9A-Z]{1,4})?)$"
NUMBERS = ("number", "whole_number")
RXNORM, SNOMED, DIAGNOSES = "9924003", "9924005", "9924001"
LONGEST_RXNORM, SHORTEST_SNOMED = 7, 6
"""Digits (NEMSIS Schematron e143; SNOMED CT identifiers have 6 to 18 digits)."""

_ASKED_WHO = {
    "eVitals.VitalGroup": "eVitals.02",
    "eMedications.MedicationGroup": "eMedications.02",
    "eProcedures.ProcedureGroup": "eProcedures.02",
}
_PERFORMER = {"eMedications.MedicationGroup": "eMedications.09", "eProcedures.ProcedureGroup": "eProcedures.09"}


def remarks(
    cells: pl.DataFrame, groups: pl.DataFrame, facts: pl.DataFrame, custom: CustomResults, walked: Remarked
) -> pl.DataFrame:
    """Return every remark of a task, sorted by report."""
    while_walking = pl.LazyFrame(
        {
            "report": pl.Series(walked.report, dtype=pl.UInt32),
            "element": pl.Series(walked.element, dtype=pl.String),
            "remark": pl.Series(walked.remark, dtype=pl.String),
            "code": pl.Series([None] * len(walked.report), dtype=pl.String),
        }
    )
    frames = [*_of_cells(cells.lazy()), *_of_groups(groups.lazy(), facts.lazy()), _of_custom(custom), while_walking]
    return REMARKS.conform(pl.concat(frames).sort("report", maintain_order=True)).collect()


def _rows(frame: pl.LazyFrame, remark: str | pl.Expr, code: pl.Expr | None = None) -> pl.LazyFrame:
    word = pl.lit(remark) if isinstance(remark, str) else remark
    return frame.select(
        "report", pl.col("element").cast(pl.String), remark=word, code=pl.lit(None, pl.String) if code is None else code
    )


def _of_cells(cells: pl.LazyFrame) -> list[pl.LazyFrame]:
    form, stripped = pl.col("form"), pl.col("stripped")
    word = (
        pl.when(form.is_in(NUMBERS)).then(pl.lit("not_a_number"))
        .when(form == "time").then(pl.lit("not_a_time"))
        .otherwise(pl.lit("unknown_code"))
    )  # fmt: skip
    shown = pl.when(stripped.str.contains(CODE_SHAPED) & ~form.is_in([*NUMBERS, "time"])).then(stripped)
    no_unit = pl.col("carbon_dioxide_type").is_null() & pl.col("value").is_not_null()
    unknown_offset = cells.filter(pl.col("moment").is_not_null(), offset_is_unknown(pl.col("written")))
    return [
        _rows(cells.filter(stripped.is_not_null()), word, shown),
        _rows(cells.filter("beside_nil"), "value_beside_nil"),
        _rows(cells.filter("respelled"), "diagnosis_respelled"),
        _rows(
            cells.filter(pl.col("element") == "eMedications.03", _contradicts()),
            "code_type_contradicts",
            pl.col("text"),
        ),
        _rows(cells.filter(pl.col("element") == "eVitals.16", no_unit), "unit_missing"),
        _rows(unknown_offset.unique(["report", "element"], maintain_order=True), "offset_unknown"),
    ]


def _contradicts() -> pl.Expr:
    """Say whether a drug code cannot be of the code system it names."""
    digits, named = pl.col("text").str.len_chars(), pl.col("code_type")
    return (
        (named == DIAGNOSES)
        | ((named == SNOMED) & (digits < SHORTEST_SNOMED))
        | ((named == RXNORM) & (digits > LONGEST_RXNORM))
    ).fill_null(value=False)


def _of_groups(groups: pl.LazyFrame, facts: pl.LazyFrame) -> list[pl.LazyFrame]:
    filled = (
        facts.filter(pl.col("status") != "missing", pl.col("call_group").is_not_null())
        .select("report", "call_group")
        .unique()
    )
    kind = pl.col("kind").cast(pl.String)
    unknown = groups.filter(pl.col("by_others").is_null()).join(filled, on=["report", "call_group"], how="semi")
    return [
        _rows(
            unknown.with_columns(element=kind.replace_strict(_ASKED_WHO, default=None)).sort("group"),
            "ownership_unknown",
        ),
        _rows(
            groups.filter("alone").with_columns(element=kind.replace_strict(_PERFORMER, default=None)),
            "performer_not_on_crew_list",
        ),
    ]


def _of_custom(custom: CustomResults) -> pl.LazyFrame:
    written = pl.LazyFrame(
        {"report": pl.Series(custom.report, dtype=pl.UInt32), "written": pl.Series(custom.moment, dtype=pl.String)}
    ).with_columns(element=pl.lit("eCustomResults.01"))
    return _rows(written.filter(pl.col("written").is_not_null(), instant(pl.col("written")).is_null()), "not_a_time")
