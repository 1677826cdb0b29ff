"""Completeness: what a report must say so that it can be judged at all; a gap is a charting gap, never poor care."""

from __future__ import annotations

import polars as pl

from qa_audit.gate.check import COMMON_PRACTICE, Answers, Check, Holds, Recorded
from qa_audit.gate.sheet import Sheet, every

READING_REFUSED_OR_UNOBTAINABLE = ("refused", "unable", "finding_not_present")
"""Pertinent negatives that excuse a missing reading (NEMSIS v3.5.1 PN codes for eVitals.12)."""


def milestone_recorded(when: str, milestone: str) -> Answers:
    """Ask reports in which the column `when` is true whether the column `milestone` is recorded."""

    def of(sheet: Sheet) -> pl.LazyFrame:
        return sheet.reports.filter(pl.col(when)).select("report", holds=pl.col(milestone).is_not_null())

    return of


def entries_timed(element: str) -> Answers:
    """Ask reports whether every entry of this crew under the element carries a time."""

    def of(sheet: Sheet) -> pl.LazyFrame:
        recorded = sheet.of_elements(element).filter(pl.col("status") == "present")
        return recorded.group_by("report").agg(every(pl.col("time").is_not_null()))

    return of


def saturation_with_oxygen(sheet: Sheet) -> pl.LazyFrame:
    """Ask reports with oxygen by this crew for a saturation by this crew, or the reason why none could be had."""
    readings = sheet.done("oxygen_saturation").filter(pl.col("value").is_not_null())
    excused = sheet.entries("oxygen_saturation").filter(pl.col("why").is_in(READING_REFUSED_OR_UNOBTAINABLE))
    return sheet.answer(sheet.done("oxygen"), pl.concat([readings.select("report"), excused.select("report")]))


def _oxygen_as_drug(sheet: Sheet) -> pl.LazyFrame:
    return sheet.done("oxygen").filter(pl.col("item").cat.starts_with("eMedications."))


def oxygen_flow_recorded(sheet: Sheet) -> pl.LazyFrame:
    """Ask whether every oxygen entry among the medications has a dose."""
    return _oxygen_as_drug(sheet).group_by("report").agg(every(pl.col("value").is_not_null()))


def oxygen_flow_has_unit(sheet: Sheet) -> pl.LazyFrame:
    """Ask whether every oxygen dose has a unit."""
    dosed = _oxygen_as_drug(sheet).filter(pl.col("value").is_not_null())
    return dosed.group_by("report").agg(every(pl.col("unit").is_not_null()))


def oxygen_device_recorded(sheet: Sheet) -> pl.LazyFrame:
    """Ask whether every oxygen entry among the medications has a route, which is the standard's word for the device."""
    routes = sheet.facts.filter(pl.col("item").cat.starts_with("eMedications.04="), pl.col("status") == "present")
    named = routes.select("report", "call_group", named=pl.lit(value=True)).unique()
    asked = _oxygen_as_drug(sheet).join(named, on=["report", "call_group"], how="left")
    return asked.group_by("report").agg(every(pl.col("named").is_not_null()))


def tube_attempts_recorded(sheet: Sheet) -> pl.LazyFrame:
    """Ask whether every intubation entry has its number of attempts."""
    return sheet.done("intubation").group_by("report").agg(every(pl.col("count").is_not_null()))


def tube_success_recorded(sheet: Sheet) -> pl.LazyFrame:
    """Ask whether every intubation entry says if it succeeded."""
    return sheet.done("intubation").group_by("report").agg(every(pl.col("success").is_not_null()))


def airway_section_with_tube(sheet: Sheet) -> pl.LazyFrame:
    """Ask full reports with a tube or supraglottic by this crew for any entry in the airway section."""
    full = sheet.reports.filter(pl.col("subset") == "full").select("report")
    placed = sheet.done("intubation", "supraglottic").join(full, on="report", how="semi")
    return sheet.answer(
        placed, sheet.facts.filter(pl.col("item").cat.starts_with("eAirway."), pl.col("status") != "missing")
    )


def crew_listed(sheet: Sheet) -> pl.LazyFrame:
    """Ask full reports of patients in contact for a crew list."""
    asked = sheet.reports.filter(pl.col("subset") == "full", pl.col("patient_contact"))
    return sheet.answer(asked, sheet.batch.members)


def crew_entries_have_ids(sheet: Sheet) -> pl.LazyFrame:
    """Ask whether every entry of a crew list has an id."""
    return sheet.batch.members.group_by("report").agg(every(pl.col("member").is_not_null()))


def age_recorded(sheet: Sheet) -> pl.LazyFrame:
    """Ask reports in which care was provided for an age."""
    return sheet.reports.filter(pl.col("care_provided")).select("report", holds=pl.col("age_years").is_not_null())


def _check(name: str, sentence: str, basis: str, asks: Holds | Recorded, concepts: tuple[str, ...] = ()) -> Check:
    return Check(name, "completeness", "warn", sentence, basis, asks, concepts)


MILESTONES_BASIS = "NEMSIS Schematron e017 to e056"

CHECKS = (
    _check(
        "vehicle_recorded",
        "The report names the vehicle.",
        "NEMSIS v3.5.1: eResponse.14 is mandatory",
        Recorded("ems_unit"),
    ),
    _check(
        "patient_contact_time_recorded",
        "Where a patient was in contact, the time of first contact is recorded.",
        MILESTONES_BASIS,
        Holds(milestone_recorded("patient_contact", "at_patient")),
    ),
    _check(
        "arrival_time_recorded",
        "Where the patient was transported, the arrival at the destination is recorded.",
        MILESTONES_BASIS,
        Holds(milestone_recorded("transported", "at_destination")),
    ),
    _check(
        "hand_over_time_recorded",
        "Where the patient was transported, the time care was handed over is recorded.",
        MILESTONES_BASIS,
        Holds(milestone_recorded("transported", "transfer_of_care")),
    ),
    _check(
        "age_recorded",
        "Where care was provided, the age is recorded.",
        "NEMSIS Schematron e063 to e065",
        Holds(age_recorded),
    ),
    _check(
        "vital_signs_timed",
        "Every vital sign of this crew has a time.",
        "NEMSIS Schematron e125 to e130",
        Holds(entries_timed("eVitals.")),
    ),
    _check(
        "medications_timed",
        "Every medication by this crew has a time.",
        "NEMSIS Schematron e136 to e141",
        Holds(entries_timed("eMedications.")),
    ),
    _check(
        "procedures_timed",
        "Every procedure by this crew has a time.",
        "NEMSIS Schematron e151 to e156",
        Holds(entries_timed("eProcedures.")),
    ),
    _check(
        "saturation_with_oxygen",
        "Where this crew gave oxygen, a saturation is charted, or why none could be had.",
        "BTS oxygen guideline 2017: saturation and oxygen are recorded together",
        Holds(saturation_with_oxygen),
        ("oxygen", "oxygen_saturation"),
    ),
    _check(
        "oxygen_flow_recorded",
        "Every oxygen entry among the medications has a flow.",
        "NEMSIS Schematron e146 to e148",
        Holds(oxygen_flow_recorded),
        ("oxygen",),
    ),
    _check(
        "oxygen_flow_has_unit",
        "Every oxygen flow has a unit.",
        "NEMSIS Schematron e146 to e148",
        Holds(oxygen_flow_has_unit),
        ("oxygen",),
    ),
    _check(
        "oxygen_device_recorded",
        "Every oxygen entry among the medications names its device.",
        "NEMSIS Schematron e146 to e148",
        Holds(oxygen_device_recorded),
        ("oxygen",),
    ),
    _check(
        "tube_attempts_recorded",
        "Every intubation by this crew has its number of attempts.",
        "NEMSIS v3.5.1: eProcedures.05 is required",
        Holds(tube_attempts_recorded),
        ("intubation",),
    ),
    _check(
        "tube_success_recorded",
        "Every intubation by this crew says whether it succeeded.",
        "NEMSIS v3.5.1: eProcedures.06 is required",
        Holds(tube_success_recorded),
        ("intubation",),
    ),
    _check(
        "airway_section_with_tube",
        "Where this crew placed a tube or a supraglottic airway, the airway section has an entry.",
        COMMON_PRACTICE,
        Holds(airway_section_with_tube),
        ("intubation", "supraglottic"),
    ),
    _check("crew_listed", "Where a patient was in contact, the crew is listed.", COMMON_PRACTICE, Holds(crew_listed)),
    _check(
        "crew_entries_have_ids",
        "Every entry of the crew list has an id.",
        COMMON_PRACTICE,
        Holds(crew_entries_have_ids),
    ),
)
