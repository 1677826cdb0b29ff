"""Reports: one row for each report, its times, vehicle, age and disposition, before and after its crew is known."""

from __future__ import annotations

import polars as pl

from qa_audit.ingest.cells import Reports
from qa_audit.ingest.choices import Choices
from qa_audit.ingest.key import Key
from qa_audit.ingest.standard.elements import MILESTONES
from qa_audit.ingest.tabling.times import offset_minutes

CONTACT_MADE = "4227001"
CARE_PROVIDED = "4228001"
TRANSPORTED = ("4230001", "4230003")
AGE_UNIT_YEARS = {
    "2516009": 1.0,
    "2516007": 30 / 365.25,
    "2516001": 1 / 365.25,
    "2516003": 1 / 365.25 / 24,
    "2516005": 1 / 365.25 / 1440,
}
"""Years, months (30 days), days, hours, minutes."""
OLDEST = 90
CAREGIVERS = ("2403011", "2403013")
"""Crew roles of the primary patient caregiver, at the scene and in transport."""


def reports(walked: Reports, cells: pl.DataFrame, choices: Choices) -> pl.DataFrame:
    """Return a row for each report with every column that does not rest on its crew or its file.

    `subset`, `standard_version` and `source_sha256` are known with the whole file; `recipient` with the members.
    """
    said = _said(cells.lazy()).with_columns(transfer_of_care=pl.coalesce("care_transferred", "handed_over"))
    own = walked_frame(walked, choices.key).lazy().drop("position", "record_sha256")
    rows = own.join(said, on="report", how="left", maintain_order="left").with_columns(
        offset_minutes=offset_minutes(pl.col("notified"))
    )
    return (
        rows.with_columns(local_date=_local_date(choices.time_zone), time_zone=pl.lit(choices.time_zone, pl.String))
        .with_columns(month=pl.col("local_date").dt.strftime("%Y-%m"))
        .collect()
    )


def walked_frame(walked: Reports, key: Key) -> pl.DataFrame:
    """Return `report`, `source`, `report_id`, `agency`, and where each report stands."""
    agencies = {agency: key.pseudonym("A", agency) for agency in set(walked.agency) if agency}
    return pl.DataFrame(
        {
            "report": pl.Series(walked.report, dtype=pl.UInt32),
            "source": pl.Series(walked.source, dtype=pl.UInt32),
            "report_id": pl.Series(
                [key.pseudonym("R", uuid) if uuid else None for uuid in walked.uuid], dtype=pl.String
            ),
            "agency": pl.Series([agencies.get(agency or "") for agency in walked.agency], dtype=pl.String),
            "position": pl.Series(walked.position, dtype=pl.Int64),
            "record_sha256": pl.Series(walked.sha256, dtype=pl.String),
        }
    )


def with_recipient(rows: pl.DataFrame, members: pl.DataFrame, choices: Choices) -> pl.DataFrame:
    """Add who a letter is for: the vehicle, the first caregiver (else the first member named), or the team."""
    if choices.recipient == "ems_unit":
        return rows.with_columns(recipient="ems_unit")
    named = members.filter(pl.col("member").is_not_null())
    if choices.recipient == "primary":
        cares = pl.any_horizontal(pl.col("roles").list.contains(role) for role in CAREGIVERS)
        chosen = named.group_by("report", maintain_order=True).agg(
            recipient=pl.coalesce(pl.col("member").filter(cares).first(), pl.col("member").first())
        )
    else:
        teams = named.group_by("report").agg(pl.col("member").unique().sort().str.join(","))
        chosen = teams.select(
            "report",
            recipient=pl.Series([choices.key.pseudonym("T", team) for team in teams["member"]], dtype=pl.String),
        )
    return rows.join(chosen, on="report", how="left", maintain_order="left")


def _said(cells: pl.LazyFrame) -> pl.LazyFrame:
    def first(part: str, column: str) -> pl.Expr:
        return pl.col(column).filter((pl.col("part") == part) & pl.col(column).is_not_null()).first()

    def says(part: str, *codes: str) -> pl.Expr:
        return first(part, "text").is_in(codes)

    years = first("age", "value") * first("age_unit", "text").replace_strict(
        AGE_UNIT_YEARS, default=None, return_dtype=pl.Float64
    )
    return (
        cells.filter(pl.col("group").is_null(), pl.col("part").is_not_null())
        .group_by("report")
        .agg(
            *(first(part, "moment").alias(part) for part in MILESTONES.values()),
            notified=pl.col("written")
            .filter(pl.col("part") == "unit_notified", pl.col("moment").is_not_null())
            .first(),
            incident=first("incident", "text"),
            ems_unit=first("ems_unit", "text"),
            service_type=first("service_type", "text"),
            age_years=years.clip(upper_bound=OLDEST).cast(pl.Float32),
            patient_contact=says("contact", CONTACT_MADE),
            care_provided=says("care", CARE_PROVIDED),
            transported=says("transport", *TRANSPORTED),
        )
    )


def _local_date(time_zone: str | None) -> pl.Expr:
    if time_zone:
        return pl.col("unit_notified").dt.convert_time_zone(time_zone).dt.date()
    return (pl.col("unit_notified") + pl.duration(minutes="offset_minutes")).dt.date()
