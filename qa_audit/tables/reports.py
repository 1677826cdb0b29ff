"""reports: one row for each patient-care report."""

from __future__ import annotations

import polars as pl

from qa_audit.tables.table import INSTANT, Column, Table

SUBSETS = pl.Enum(["full", "national"])

MILESTONES = {
    "psap_call": "call answered (eTimes.01)",
    "unit_notified": "unit notified (eTimes.03)",
    "en_route": "unit en route (eTimes.05)",
    "on_scene": "unit on scene (eTimes.06)",
    "at_patient": "first patient contact (eTimes.07)",
    "transfer_of_care": "care handed over (eTimes.08, else eTimes.12)",
    "left_scene": "unit left the scene (eTimes.09)",
    "at_destination": "patient arrived at the destination (eTimes.11)",
    "back_in_service": "unit back in service (eTimes.13)",
}

REPORTS = Table(
    "reports",
    {
        "report": Column(pl.UInt32, "number of the report inside its batch or month version; grows in reading order"),
        "report_id": Column(pl.String, "pseudonym R-... of the report's UUID", "no UUID (held back)"),
        "agency": Column(pl.String, "pseudonym A-... of dAgency.02", "not given"),
        "ems_unit": Column(pl.String, "pseudonym U-... of the call sign, eResponse.14", "not given"),
        "recipient": Column(pl.String, "pseudonym of who a letter is for (settings: recipient)", "nobody known"),
        "incident": Column(pl.String, "pseudonym I-... of eResponse.03", "not given"),
        "month": Column(pl.String, "YYYY-MM of the local date", "no readable unit-notified time (held back)"),
        "local_date": Column(
            pl.Date, "local date of unit notified, in time_zone else at eTimes.03's offset", "as month"
        ),
        "offset_minutes": Column(pl.Int16, "eTimes.03's own offset from UTC, minutes", "as month"),
        "time_zone": Column(pl.String, "IANA zone of the settings", "settings name none: the report's own offset"),
        **{name: Column(INSTANT, f"instant: {meaning}", "not recorded") for name, meaning in MILESTONES.items()},
        "age_years": Column(
            pl.Float32, "age in years (days/365.25, a month is 30 days), 90 and over is 90", "not recorded"
        ),
        "service_type": Column(pl.String, "eResponse.05 code", "not recorded"),
        "patient_contact": Column(pl.Boolean, "eDisposition.27 says patient contact made", "not recorded"),
        "care_provided": Column(pl.Boolean, "eDisposition.28 says evaluated and care provided", "not recorded"),
        "transported": Column(
            pl.Boolean, "eDisposition.30 says transported by this unit (4230001, 4230003)", "not recorded"
        ),
        "subset": Column(SUBSETS, "whole data set or the national subset"),
        "standard_version": Column(pl.String, "3.5.0 or 3.5.1"),
        "source": Column(pl.UInt32, "ordinal of the input file in reading order, never its name"),
        "source_sha256": Column(pl.String, "SHA-256 of the input file"),
    },
)
