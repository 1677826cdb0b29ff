"""What reading the files stripped or noticed, named and explained: each word of `remarks` is one check."""

from __future__ import annotations

import polars as pl

from qa_audit.gate.check import COMMON_PRACTICE, Answers, Check, Family, Holds, Verdict
from qa_audit.gate.sheet import Sheet


def without(sheet: Sheet, remarked: pl.LazyFrame) -> pl.LazyFrame:
    """Ask every report whether it is none of the remarked ones."""
    marked = remarked.select("report", marked=pl.lit(value=True)).unique()
    asked = sheet.reports.select("report").join(marked, on="report", how="left")
    return asked.select("report", holds=pl.col("marked").is_null())


def without_remark(word: str) -> Answers:
    """Ask every report whether reading it left no such remark."""
    return lambda sheet: without(sheet, sheet.batch.remarks.filter(pl.col("remark") == word).select("report"))


def _check(word: str, family: Family, verdict: Verdict, sentence: str, basis: str) -> Check:
    return Check(word, family, verdict, sentence, basis, Holds(without_remark(word)))


NAMED = (
    _check(
        "unknown_code",
        "plausibility",
        "strip",
        "Every code is one of its element's list; any other is stripped.",
        "NEMSIS v3.5.1 code lists",
    ),
    _check(
        "not_a_number",
        "plausibility",
        "strip",
        "Every measurement is a number; anything else is stripped.",
        "NEMSIS v3.5.1 data types",
    ),
    _check(
        "not_a_time",
        "chronology",
        "strip",
        "Every time is a date, a time and an offset from UTC; anything else is stripped.",
        "NEMSIS v3.5.1 dateTime pattern",
    ),
    _check(
        "offset_unknown",
        "chronology",
        "warn",
        "Every time says its offset from UTC; -00:00 is read as UTC and often means that the offset was not known.",
        "RFC 3339, section 4.3",
    ),
    _check(
        "value_beside_nil",
        "coherence",
        "warn",
        "No element holds a value and the mark of an empty element together.",
        "NEMSIS Schematron e001 and e002",
    ),
    _check(
        "code_type_contradicts",
        "coherence",
        "warn",
        "No drug code contradicts the code system it names; the code is kept.",
        "NEMSIS Schematron e143 to e145",
    ),
    _check(
        "performer_not_on_crew_list",
        "coherence",
        "warn",
        "Everybody named as doing something is on the crew list; others' care counts for or against no crew.",
        "NEMSIS v3.5.1: eMedications.09 and eProcedures.09 name an id of eCrew.01",
    ),
    _check(
        "ownership_unknown",
        "coherence",
        "warn",
        "Every vital sign, medication and procedure says whether it was before this crew's care.",
        "NEMSIS v3.5.1: eVitals.02, eMedications.02 and eProcedures.02 are required",
    ),
    _check(
        "tie_to_nothing",
        "coherence",
        "warn",
        "Every tie between entries names an entry of the same report; what is tied to nothing is not used.",
        "NEMSIS v3.5.1: CorrelationID is unique inside a document",
    ),
    _check(
        "diagnosis_respelled",
        "coherence",
        "warn",
        "Every diagnosis code is spelled with its dot and in upper case; another spelling is read as the dotted code.",
        "NEMSIS v3.5.1: the pattern of ICD-10-CM codes",
    ),
    _check(
        "identifier_dropped",
        "identifiers",
        "strip",
        "No element that identifies a person was in the input; with --de-identify it is dropped.",
        "HIPAA Safe Harbor, 45 CFR 164.514(b)(2)",
    ),
    _check(
        "text_dropped",
        "identifiers",
        "strip",
        "No free text held an identifier; with --de-identify such a text is dropped whole.",
        "HIPAA Safe Harbor, 45 CFR 164.514(b)(2)",
    ),
)


ASKED_ELSEWHERE = ("unit_missing",)
"""Remarks that a check of the facts asks about already (carbon_dioxide_has_unit)."""


def something_else(sheet: Sheet) -> pl.LazyFrame:
    """Ask every report whether reading it left no remark that has no check of its own."""
    named = [*(check.name for check in NAMED), *ASKED_ELSEWHERE]
    other = sheet.batch.remarks.filter(~pl.col("remark").is_in(named)).select("report")
    return without(sheet, other)


CHECKS = (
    *NAMED,
    Check(
        "nothing_else_noticed",
        "coherence",
        "warn",
        "Reading the report noticed nothing that no other check names.",
        COMMON_PRACTICE,
        Holds(something_else),
    ),
)
