"""Chronology: times that stand in an order care can have had; odd times are told and never hold a report back."""

from __future__ import annotations

import polars as pl

from qa_audit.gate.check import COMMON_PRACTICE, Answers, AtMost, Check, Holds, NotBefore
from qa_audit.gate.sheet import Sheet, every
from qa_audit.tables.reports import MILESTONES

TREATMENTS = ("eMedications.", "eProcedures.", "eAirway.")
MILLISECONDS_A_MINUTE = 60_000


def _slack(sheet: Sheet) -> pl.Expr:
    return pl.duration(milliseconds=round(sheet.thresholds["outside_call_minutes"] * MILLISECONDS_A_MINUTE))


def _timed(sheet: Sheet, elements: tuple[str, ...], milestone: str) -> pl.LazyFrame:
    entries = sheet.of_elements(*elements).filter(pl.col("time").is_not_null())
    milestones = sheet.reports.filter(pl.col(milestone).is_not_null()).select("report", milestone=milestone)
    return entries.select("report", "time").join(milestones, on="report")


def not_before_notified(*elements: str) -> Answers:
    """Ask whether no entry of this crew lies before the unit was notified, beyond the slack."""

    def of(sheet: Sheet) -> pl.LazyFrame:
        entries = _timed(sheet, elements, "unit_notified")
        return entries.group_by("report").agg(every(pl.col("time") >= pl.col("milestone") - _slack(sheet)))

    return of


def not_after_service(*elements: str) -> Answers:
    """Ask whether no entry of this crew lies after the unit was back in service, beyond the slack."""

    def of(sheet: Sheet) -> pl.LazyFrame:
        entries = _timed(sheet, elements, "back_in_service")
        return entries.group_by("report").agg(every(pl.col("time") <= pl.col("milestone") + _slack(sheet)))

    return of


def back_in_service_last(sheet: Sheet) -> pl.LazyFrame:
    """Ask reports with a time back in service whether no other milestone lies after it."""
    latest = pl.max_horizontal(name for name in MILESTONES if name != "back_in_service")
    return sheet.reports.select("report", holds=latest <= pl.col("back_in_service"))


def handed_over_after_arrival(sheet: Sheet) -> pl.LazyFrame:
    """Ask transports with both times whether care was handed over at or after the arrival."""
    in_order = pl.col("transfer_of_care") >= pl.col("at_destination")
    return sheet.reports.filter(pl.col("transported")).select("report", holds=in_order)


def call_hours(sheet: Sheet) -> pl.LazyFrame:
    """Give the hours from unit notified to back in service."""
    length = (pl.col("back_in_service") - pl.col("unit_notified")).dt.total_milliseconds()
    return sheet.reports.select("report", value=length / (60 * MILLISECONDS_A_MINUTE))


def offset_fits_time_zone(sheet: Sheet) -> pl.LazyFrame:
    """Ask whether a report's own offset is that of the agency's time zone then; without a zone nobody is asked."""
    if sheet.time_zone is None:
        return sheet.reports.select("report", holds=pl.lit(None, pl.Boolean))
    local = pl.col("unit_notified").dt.convert_time_zone(sheet.time_zone)
    expected = (local.dt.base_utc_offset() + local.dt.dst_offset()).dt.total_minutes()
    return sheet.reports.select("report", holds=expected == pl.col("offset_minutes"))


def _check(name: str, sentence: str, basis: str, asks: NotBefore | AtMost | Holds) -> Check:
    return Check(name, "chronology", "warn", sentence, basis, asks)


MILESTONES_BASIS = "NEMSIS Schematron e017 to e056"
VITALS_BASIS = "NEMSIS Schematron e125 to e130"
TREATMENTS_BASIS = "NEMSIS Schematron e136 to e141 and e151 to e156"

CHECKS = (
    _check(
        "notified_after_call",
        "The unit is notified at or after the call is answered.",
        MILESTONES_BASIS,
        NotBefore("unit_notified", "psap_call"),
    ),
    _check(
        "en_route_after_notified",
        "The unit is en route at or after it is notified.",
        MILESTONES_BASIS,
        NotBefore("en_route", "unit_notified"),
    ),
    _check(
        "on_scene_after_en_route",
        "The unit is on scene at or after it is en route.",
        MILESTONES_BASIS,
        NotBefore("on_scene", "en_route"),
    ),
    _check(
        "left_after_patient_contact",
        "The unit leaves the scene at or after first patient contact.",
        MILESTONES_BASIS,
        NotBefore("left_scene", "at_patient"),
    ),
    _check(
        "arrived_after_leaving",
        "The patient arrives at or after the unit left the scene.",
        MILESTONES_BASIS,
        NotBefore("at_destination", "left_scene"),
    ),
    _check(
        "handed_over_after_arrival",
        "Where the patient was transported, care is handed over at or after the arrival.",
        MILESTONES_BASIS,
        Holds(handed_over_after_arrival),
    ),
    _check(
        "back_in_service_last",
        "The unit is back in service after every other milestone.",
        MILESTONES_BASIS,
        Holds(back_in_service_last),
    ),
    _check(
        "call_within_a_day",
        "From unit notified to back in service are at most {call_hours_highest:g} hours.",
        COMMON_PRACTICE,
        AtMost(call_hours, "call_hours_highest"),
    ),
    _check(
        "vital_signs_after_notified",
        "No vital sign of this crew lies more than {outside_call_minutes:g} minutes before it was notified.",
        VITALS_BASIS,
        Holds(not_before_notified("eVitals.")),
    ),
    _check(
        "vital_signs_before_back_in_service",
        "No vital sign of this crew lies more than {outside_call_minutes:g} minutes after it was back in service.",
        VITALS_BASIS,
        Holds(not_after_service("eVitals.")),
    ),
    _check(
        "treatments_after_notified",
        "No treatment by this crew lies more than {outside_call_minutes:g} minutes before it was notified.",
        TREATMENTS_BASIS,
        Holds(not_before_notified(*TREATMENTS)),
    ),
    _check(
        "treatments_before_back_in_service",
        "No treatment by this crew lies more than {outside_call_minutes:g} minutes after it was back in service.",
        TREATMENTS_BASIS,
        Holds(not_after_service(*TREATMENTS)),
    ),
    _check(
        "offset_fits_time_zone",
        "The report's offset from UTC is that of the agency's time zone on that day.",
        COMMON_PRACTICE,
        Holds(offset_fits_time_zone),
    ),
)
