"""Changeover: clinical.md section 8 (published documents E-01 to E-09) and the kinder-edition rule."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from shutil import copytree

import polars as pl
import pytest
from charting import INFLUENZA, RULESETS, Charts, at

from qa_audit import audit, rules
from qa_audit.rules import Ruleset
from qa_audit.settings import Settings

CHICAGO = Settings(time_zone="America/Chicago")
OLD, NEW = "respiratory-precautions@2020-01-01", "respiratory-precautions@2026-02-17"
# The second edition begins 2026-02-17 12:00 in Chicago, 18:00 UTC, and moves the ceiling from 96 to 94.
DAY = "2026-02-17"


def call(charts: Charts, notified: str, started: str, readings: list[tuple[str, float]], arrival: str) -> int:
    """A patient with influenza on oxygen, all times UTC on the changeover day."""
    report = charts.report(
        DAY,
        unit_notified=at(f"{DAY} {notified}"),
        at_patient=at(f"{DAY} {started}"),
        left_scene=at(f"{DAY} {started}"),
        at_destination=at(f"{DAY} {arrival}"),
    )
    charts.fact(report, INFLUENZA)
    charts.oxygen(report, started, 15)
    for clock, value in readings:
        charts.saturation(report, clock, value)
    return report


def decided(charts: Charts, ruleset: Ruleset, settings: Settings = CHICAGO) -> tuple[object, ...]:
    found = audit.judge(charts.batch(), ruleset, settings).filter(pl.col("rule") == "oxygen-kept-within-target")
    return (
        found.with_columns(pl.col("reason").cast(pl.String)).select("outcome", "reason", "edition", "kinder_of").row(0)
    )


@pytest.fixture(scope="module")
def ruleset() -> Ruleset:
    return rules.load(RULESETS, None)


@pytest.fixture
def edited(tmp_path: Path) -> Callable[[str], Ruleset]:
    """Load the shipped set with lines added to the second edition's edition.yaml."""

    def load(lines: str) -> Ruleset:
        copytree(RULESETS, tmp_path / "rulesets")
        path = tmp_path / "rulesets/respiratory-precautions/2026-02-17/edition.yaml"
        kept = [line for line in path.read_text().splitlines() if not line.startswith("made_known")]
        path.write_text("\n".join(kept) + f"\n{lines}\n")
        return rules.load(tmp_path / "rulesets", None)

    return load


HIGH = [("19:10", 96.0), ("19:18", 96.0), ("19:26", 93.0)]


def test_care_after_the_hour_is_judged_by_the_new_edition(ruleset: Ruleset) -> None:
    charts = Charts()
    call(charts, "18:40", "19:00", HIGH, "19:40")
    assert decided(charts, ruleset) == ("not_met", None, NEW, None)


def test_the_hour_itself_belongs_to_the_new_edition(ruleset: Ruleset) -> None:
    charts = Charts()
    call(charts, "18:00", "18:00", [("18:10", 96.0), ("18:18", 96.0), ("18:26", 93.0)], "18:40")
    assert decided(charts, ruleset) == ("not_met", None, NEW, None)


def test_care_before_the_hour_is_judged_by_the_old_edition(ruleset: Ruleset) -> None:
    charts = Charts()
    call(charts, "16:40", "17:00", [("17:10", 96.0), ("17:18", 96.0)], "17:40")
    assert decided(charts, ruleset) == ("met", None, OLD, None)


def test_a_call_in_progress_is_judged_by_the_kinder_edition(ruleset: Ruleset) -> None:
    charts = Charts()
    call(charts, "17:40", "18:10", [("18:20", 96.0), ("18:28", 96.0), ("18:36", 93.0)], "18:50")
    assert decided(charts, ruleset) == ("met", None, OLD, NEW)


def test_a_call_in_progress_that_meets_neither_edition_stays_a_finding(ruleset: Ruleset) -> None:
    charts = Charts()
    call(charts, "17:40", "18:10", [("18:20", 99.0), ("18:28", 99.0), ("18:36", 93.0)], "18:50")
    assert decided(charts, ruleset) == ("not_met", None, NEW, OLD)


def test_one_therapy_across_the_hour_is_judged_by_the_kinder_edition(ruleset: Ruleset) -> None:
    charts = Charts()
    call(charts, "17:20", "17:40", [("17:50", 96.0), ("17:58", 96.0), ("18:16", 93.0)], "18:20")
    assert decided(charts, ruleset) == ("met", None, OLD, NEW)


def test_before_crews_were_told_the_edition_before_answers_too(edited: Callable[[str], Ruleset]) -> None:
    charts = Charts()
    call(charts, "18:40", "19:00", HIGH, "19:40")
    assert decided(charts, edited("made_known: 2026-02-18")) == ("met", None, OLD, NEW)


def test_from_when_crews_were_told_the_new_edition_decides_alone(edited: Callable[[str], Ruleset]) -> None:
    charts = Charts()
    call(charts, "18:40", "19:00", HIGH, "19:40")
    assert decided(charts, edited("made_known: 2026-02-17T13:00")) == ("not_met", None, NEW, None)


def test_inside_a_transition_the_edition_before_answers_too(edited: Callable[[str], Ruleset]) -> None:
    # E-03: within a published transition either edition satisfies.
    charts = Charts()
    call(charts, "18:40", "19:00", HIGH, "19:40")
    assert decided(charts, edited("transition_until: 2026-03-31")) == ("met", None, OLD, NEW)


def test_an_act_without_a_time_on_a_changeover_day_cannot_be_placed(ruleset: Ruleset) -> None:
    charts = Charts()
    report = charts.report(DAY, unit_notified=at(f"{DAY} 16:00"), at_patient=at(f"{DAY} 16:10"))
    charts.fact(report, "eProcedures.03=232674004", None, count=2)
    found = audit.judge(charts.batch(), ruleset, CHICAGO).filter(pl.col("rule") == "one-intubation-attempt")
    assert found.select("outcome", pl.col("reason").cast(pl.String)).row(0) == ("cannot_tell", "time_missing")


def test_a_rule_that_the_other_edition_lacks_makes_no_finding_of_a_call_in_progress(
    edited: Callable[[str], Ruleset], tmp_path: Path
) -> None:
    edited("")
    base = tmp_path / "rulesets/respiratory-precautions/2020-01-01"
    (base / "rules/oxygen/oxygen-kept-within-target.yaml").unlink()
    for name in ("oxygen", "cohorts"):
        (base / f"concepts/{name}.yaml").unlink()
    resuscitation = (base / "concepts/resuscitation.yaml").read_text()
    (base / "concepts/resuscitation.yaml").write_text(resuscitation.partition("arrest_time:")[0])
    charts = Charts()
    call(charts, "17:40", "18:10", [("18:20", 99.0), ("18:28", 99.0), ("18:36", 93.0)], "18:50")
    outcome, reason, _, _ = decided(charts, rules.load(tmp_path / "rulesets", None))
    assert (outcome, reason) == ("cannot_tell", "no_edition")


def test_a_fixed_end_without_a_successor_leaves_no_edition(edited: Callable[[str], Ruleset]) -> None:
    # E-01: after its fixed end, with no successor, there is no ruleset, not the last known one.
    charts = Charts()
    call(charts, "18:40", "19:00", HIGH, "19:40")
    assert decided(charts, edited("in_force_until: 2026-02-17T12:30"))[:3] == ("cannot_tell", "no_edition", None)


def test_silence_in_an_agency_field_before_it_was_asked_for_is_not_assessable(edited: Callable[[str], Ruleset]) -> None:
    settings = Settings.model_validate(
        {
            "time_zone": "America/Chicago",
            "custom_elements": {"svc.filter": {"concept": "viral_filter", "values": {"1": "present"}}},
        }
    )
    charts = Charts()
    for clock in ("19:00", "21:00"):
        report = charts.report(DAY, unit_notified=at(f"{DAY} 18:40"))
        charts.fact(report, "eProcedures.03=425447009", clock)
    found = audit.judge(charts.batch(), edited("must_document_from: 2026-02-17T14:00"), settings)
    reasons = found.filter(pl.col("rule") == "viral-filter-on-positive-pressure")["reason"].cast(pl.String)
    assert reasons.to_list() == ["not_assessable", "not_documented"]
