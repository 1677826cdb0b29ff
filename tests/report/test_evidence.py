from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import polars as pl
import pytest
from report.browser import axe_violations, chromium, overflows_at
from report.charted_month import (
    CANNULA,
    INFLUENZA,
    NON_REBREATHER,
    NURSE,
    OXYGEN,
    SATURATION,
    UNIT_7,
    Call,
    calls,
    charted_month,
    ruleset,
    settings,
)
from report.test_letters import text_of, weakened

from qa_audit.report import evidence
from qa_audit.tables import Month

__all__ = ["chromium"]


@cache
def month() -> Month:
    return charted_month()


def write(folder: Path, written: Month | None = None, **changes: Any) -> dict[str, str]:
    paths = evidence.write(written or month(), ruleset(), settings(**changes), folder)
    return {path.stem: path.read_text(encoding="utf-8") for path in paths}


def test_every_report_with_a_finding_of_a_required_rule_has_a_page_and_no_other(tmp_path: Path) -> None:
    assert list(write(tmp_path)) == ["R-0000000001", "R-0000000002", "R-0000000003"]


def test_a_report_whose_only_finding_is_a_recommendation_is_not_listed() -> None:
    assert evidence.listed(month(), weakened("oxygen-kept-within-target", strength="should")) == [2, 3]


def test_a_month_without_findings_writes_no_folder(tmp_path: Path) -> None:
    assert write(tmp_path, charted_month(finding_calls=0)) == {}
    assert list(tmp_path.iterdir()) == []


def test_the_head_gives_pseudonym_local_time_and_vehicle_and_the_page_is_internal(tmp_path: Path) -> None:
    said = text_of(write(tmp_path)["R-0000000001"])
    assert "Internal: for the people who review care here." in said
    assert "Report R-0000000001 3 January 2026, 10:00, Unit 7." in said


def test_a_determination_shows_outcome_amount_band_edition_and_the_facts_behind_it(tmp_path: Path) -> None:
    said = text_of(write(tmp_path)["R-0000000001"])
    shown = said.split("Each determination with its evidence")[1]
    assert "Care finding Saturation on oxygen is charted above the target for 20 minutes" in shown
    assert "Asked At most 96 % (a respiratory infection is suspected)" in shown
    assert (
        "Respiratory precautions, base edition, in force from 1 January 2020 (respiratory-precautions@2020-01-01)"
        in shown
    )
    assert f"10:15 Oxygen by non-rebreathing mask 15 L/min {NURSE} {OXYGEN}, {NON_REBREATHER}" in shown
    assert "10:25 Oxygen saturation by pulse oximeter 99 % eVitals.12" in shown
    assert "10:14 Oxygen saturation" not in shown


def test_what_is_silent_is_a_charting_gap_and_what_is_done_stands_beside_it(tmp_path: Path) -> None:
    said = text_of(write(tmp_path)["R-0000000002"])
    assert "A viral filter is in line wherever air is pushed in. Charting gap" in said
    assert f"Everyone near an aerosol procedure wears a respirator. {NURSE}: As the guidance asks" in said


def test_an_agencys_own_field_that_denies_is_charted_as_no(tmp_path: Path) -> None:
    assert "A viral filter is in line: charted as no" in text_of(write(tmp_path)["R-0000000003"])


def test_work_of_others_and_work_of_unknown_hands_are_told_apart(tmp_path: Path) -> None:
    made = calls()
    made[0].chart(OXYGEN, CANNULA, at=13, value=2.0, unit="L/min")
    made[0].facts[-1]["by_others"] = made[0].facts[-2]["by_others"] = True
    made[0].chart(SATURATION, at=12, value=90.0)
    made[0].facts[-1]["by_others"] = None
    said = text_of(write(tmp_path, charted_month(made=made))["R-0000000001"])
    assert "10:13 Oxygen by nasal cannula 2 L/min others" in said
    assert "10:12 Oxygen saturation by pulse oximeter 90 % not said whose" in said


def test_the_timeline_draws_ceiling_readings_oxygen_and_milestones_and_has_its_table_twin(tmp_path: Path) -> None:
    html = write(tmp_path)["R-0000000001"]
    drawn = html.split("<svg")[1].split("</svg>")[0]
    assert "ceiling 96 %" in drawn
    assert drawn.count("<circle") == 4
    assert "by non-rebreathing mask, 15 L/min" in drawn
    assert "first patient contact" in drawn
    assert "4 saturation readings from 91 to 99 percent, 3 of them above the ceiling of 96" in drawn
    assert "10:12 first patient contact" in text_of(html.split("The same as a table")[1])


def test_equipment_lists_without_a_time_hold_for_the_whole_call(tmp_path: Path) -> None:
    assert f"whole call, {NURSE}: a surgical or procedure mask and 1 more item" in write(tmp_path)["R-0000000003"]


def test_the_band_of_the_edition_in_force_is_drawn(tmp_path: Path) -> None:
    call = Call(1, UNIT_7, calls()[0].start.replace(month=3))
    call.chart(INFLUENZA).chart(OXYGEN, NON_REBREATHER, at=15, value=15.0, unit="L/min")
    call.chart(SATURATION, at=25, value=97.0).chart(SATURATION, at=35, value=97.0)
    html = write(tmp_path, replace(charted_month(made=[call]), month="2026-03"))["R-0000000001"]
    assert "ceiling 94 %" in html
    assert "respiratory-precautions@2026-02-17" in html


def test_a_report_with_no_times_to_draw_still_has_its_tables(tmp_path: Path) -> None:
    bare = month().batch.reports.with_columns(
        pl.lit(None, pl.Datetime("ms", "UTC")).alias(name)
        for name in ("en_route", "on_scene", "at_patient", "left_scene", "at_destination", "back_in_service")
    )
    timeless = month().batch.facts.with_columns(time=pl.lit(None, pl.Datetime("ms", "UTC")))
    batch = replace(month().batch, reports=bare, facts=timeless)
    said = text_of(write(tmp_path, replace(month(), batch=batch))["R-0000000001"])
    assert "Too few times are charted to draw one." in said
    assert "no time charted Oxygen by non-rebreathing mask" in said


def test_labels_and_codes_with_markup_stay_text(tmp_path: Path) -> None:
    html = write(tmp_path, labels={UNIT_7: 'وحدة <i>"7"</i>', NURSE: "<script>"})["R-0000000001"]
    assert "<script>" not in html
    assert "<i>" not in html
    assert 'وحدة <i>"7"</i>' in text_of(html)


def test_writing_twice_gives_the_same_bytes(tmp_path: Path) -> None:
    assert write(tmp_path / "a") == write(tmp_path / "b")


@pytest.mark.parametrize("report", ["R-0000000001", "R-0000000003"])
def test_axe_finds_nothing_and_a_narrow_screen_needs_no_sideways_scrolling(
    chromium: Any, tmp_path: Path, report: str
) -> None:
    write(tmp_path)
    path = tmp_path / "evidence" / f"{report}.html"
    assert axe_violations(chromium, path) == []
    assert not overflows_at(chromium, path, 360)
