from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import polars as pl
from report.browser import axe_violations, chromium, overflows_at
from report.charted_month import FILTER_USED, INFLUENZA, charted_month, ruleset, settings
from report.test_letters import text_of

from qa_audit.report import data_quality
from qa_audit.settings import CustomElement, Settings
from qa_audit.tables import HELD_BACK, Month

__all__ = ["chromium"]


@cache
def month() -> Month:
    return charted_month()


def page(folder: Path, written: Month | None = None, chosen: Settings | None = None) -> str:
    return data_quality.write(written or month(), ruleset(), chosen or settings(), folder).read_text(encoding="utf-8")


def said(folder: Path, written: Month | None = None, chosen: Settings | None = None) -> str:
    return text_of(page(folder, written, chosen))


def test_the_three_numbers_add_up(tmp_path: Path) -> None:
    assert "Reports read 9 Admitted 8 Held back 1" in said(tmp_path, _with(reports=8))
    assert "Reports read 12 Admitted 11 Held back 1" in said(tmp_path)


def _with(reports: int) -> Month:
    few = month().batch.reports.filter(pl.col("report") <= reports)
    return replace(month(), batch=month().batch.keep(few))


def test_what_was_held_back_stands_by_reason_with_its_sentence_as_text(tmp_path: Path) -> None:
    html = page(tmp_path)
    assert "ends inside &lt;eVitals&gt;; export it again." in html
    assert "Unreadable The report or its file cannot be read. 1" in text_of(html)


def test_many_different_hold_back_sentences_are_counted_and_not_all_printed(tmp_path: Path) -> None:
    rows = [
        {"month": "2026-01", "source": 1, "source_sha256": "0" * 64, "position": place, "check": "superseded",
         "sentence": f"The report at byte {place} was read again."} for place in range(7)
    ]  # fmt: skip
    batch = replace(month().batch, held_back=HELD_BACK.frame(rows))
    shown = said(tmp_path, replace(month(), batch=batch))
    assert "at byte 4 was" in shown
    assert "at byte 5 was" not in shown
    assert "2 more of this kind" in shown


def test_each_rules_gaps_doubts_and_answers_add_up_to_what_it_asked_of(tmp_path: Path) -> None:
    shown = said(tmp_path)
    assert "Oxygen is kept within the target saturation. 8 7 1 0 0 0 0" in shown
    assert "A viral filter is in line wherever air is pushed in. 3 1 2 0 0 0 0" in shown
    assert (
        "2 charting gaps: Air was pushed in, and the report does not say whether a viral filter was in line." in shown
    )


def test_a_rule_that_these_records_cannot_answer_names_the_one_field_that_would(tmp_path: Path) -> None:
    without = settings(custom_elements={})
    shown = said(tmp_path, charted_month(chosen=without), without)
    assert "A viral filter is in line wherever air is pushed in. 0 0 0 0 3 0 0" in shown
    assert "Cannot be judged here. One field of the service's own would change that." in shown
    assert "map it in the settings under custom_elements to the concept viral_filter." in shown
    assert "Cannot be judged here" not in said(tmp_path)


def test_a_field_that_would_only_make_an_answer_surer_is_named_as_such(tmp_path: Path) -> None:
    wish = "It would be surer with a field of the service's own for oxygen_stopped"
    assert wish in said(tmp_path)
    mapped = {"svc.oxygenOff": CustomElement(concept="oxygen_stopped", value="time")}
    assert wish not in said(tmp_path, chosen=settings(custom_elements=mapped))


def test_gate_checks_stand_by_family_with_how_many_were_asked_and_did_not_hold(tmp_path: Path) -> None:
    shown = said(tmp_path)
    assert "A report with oxygen has a saturation reading. saturation-beside-oxygen 5 1" in shown
    assert shown.index("Completeness Check") < shown.index("Chronology Check")


def test_what_was_noticed_is_counted_and_a_left_out_code_is_listed(tmp_path: Path) -> None:
    shown = said(tmp_path)
    assert "A code that the standard does not know was left out. eOther.03 4503999 1 1" in shown
    assert "1 of these only because the performer named is not on the crew list." in shown


def test_a_remark_that_is_new_to_these_words_is_still_shown_in_words(tmp_path: Path) -> None:
    remarks = month().batch.remarks.with_columns(remark=pl.lit("moon_in_phase"))
    assert "Moon in phase." in said(tmp_path, replace(month(), batch=replace(month().batch, remarks=remarks)))


def test_facts_that_no_concept_claims_are_counted_by_element_and_never_by_value(tmp_path: Path) -> None:
    shown = said(tmp_path)
    assert "7 of 70 facts belong to no concept" in shown
    assert "eSituation.11 1; eVitals.10 6." in shown
    assert "R07.9" not in shown
    assert INFLUENZA not in shown
    assert FILTER_USED not in shown


def test_an_own_field_that_nobody_mapped_is_shown_as_unused(tmp_path: Path) -> None:
    assert "svc.gown boolean 4 not mapped in the settings, so not used" in said(tmp_path)


def test_version_and_subset_are_counted_and_their_limits_said(tmp_path: Path) -> None:
    assert "11 reports in version 3.5.1 of the standard, whole data set." in said(tmp_path)
    national = month().batch.reports.with_columns(subset=pl.lit("national"), standard_version=pl.lit("3.5.0"))
    shown = said(tmp_path, replace(month(), batch=replace(month().batch, reports=national)))
    assert "The national subset has no crew list" in shown
    assert "Version 3.5.0 has no field for care by another unit" in shown


def test_the_data_are_said_to_be_a_limited_data_set_still_to_be_protected(tmp_path: Path) -> None:
    assert "this is a limited data set and is still to be protected" in said(tmp_path)


def test_a_month_before_any_edition_still_has_its_page(tmp_path: Path) -> None:
    assert "Data quality, May 2019" in said(tmp_path, replace(month(), month="2019-05"))


def test_axe_finds_nothing_and_a_narrow_screen_needs_no_sideways_scrolling(chromium: Any, tmp_path: Path) -> None:
    page(tmp_path)
    assert axe_violations(chromium, tmp_path / "data-quality.html") == []
    assert not overflows_at(chromium, tmp_path / "data-quality.html", 360)
