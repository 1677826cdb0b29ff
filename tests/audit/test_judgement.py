from __future__ import annotations

from datetime import date

import polars as pl
import pytest
from charting import (
    BAG,
    CANNULA,
    GLOVES,
    INFLUENZA,
    N95,
    NEBULIZER,
    OTHER,
    OXYGEN,
    RULESETS,
    SUPRAGLOTTIC,
    SURGICAL_MASK,
    TUBE,
    Charts,
    at,
)

from qa_audit import audit, rules
from qa_audit.rules import Ruleset
from qa_audit.settings import CustomElement, EquipmentLists, Settings

OXYGEN_RULE = "oxygen-kept-within-target"
RESPIRATOR = "respirator-for-aerosol-procedures"
ATTEMPT = "one-intubation-attempt"
FILTER = "viral-filter-on-positive-pressure"
WITH_FILTER = Settings(
    custom_elements={"svc.filter": CustomElement(concept="viral_filter", values={"1": "present", "0": "negated"})}
)


@pytest.fixture(scope="module")
def ruleset() -> Ruleset:
    return rules.load(RULESETS, None)


@pytest.fixture
def charts() -> Charts:
    return Charts()


def judged(charts: Charts, ruleset: Ruleset, rule: str, settings: Settings | None = None) -> list[tuple[object, ...]]:
    """Outcome, reason and amount of each of the rule's determinations, in table order."""
    found = audit.judge(charts.batch(), ruleset, settings or Settings()).filter(pl.col("rule") == rule)
    return found.with_columns(pl.col("reason").cast(pl.String)).select("outcome", "reason", "amount").rows()


def test_a_determination_carries_its_opportunity_edition_and_evidence(charts: Charts, ruleset: Ruleset) -> None:
    report = charts.report()
    charts.fact(report, INFLUENZA)
    charts.oxygen(report, "10:00", 15)
    charts.saturation(report, "10:10", 99)
    charts.saturation(report, "10:25", 99)
    batch = charts.batch()
    row = audit.judge(batch, ruleset, Settings()).filter(pl.col("rule") == OXYGEN_RULE).row(0, named=True)
    assert row["opportunity"] == "oxygen@2026-01-10T10:00:00Z#1"
    assert row["edition"] == "respiratory-precautions@2020-01-01"
    assert (row["outcome"], row["amount"], row["amount_unit"]) == ("not_met", 20.0, "minutes")
    assert row["kinder_of"] is None
    facts = batch.facts.filter(pl.col("fact").is_in(row["evidence"])).select(pl.col("item").cast(pl.String)).collect()
    assert set(facts["item"]) >= {OXYGEN, "eVitals.12"}
    assert len(row["evidence_digest"]) == 64


def test_a_report_without_a_finding_carries_no_evidence(charts: Charts, ruleset: Ruleset) -> None:
    report = charts.report()
    charts.oxygen(report, "10:00", 2, CANNULA)
    charts.saturation(report, "10:10", 95)
    charts.saturation(report, "10:25", 96)
    found = audit.judge(charts.batch(), ruleset, Settings())
    assert found["outcome"].to_list() == ["met"]
    assert found["evidence"].to_list() == [None]


def test_care_by_others_opens_no_opportunity(charts: Charts, ruleset: Ruleset) -> None:
    report = charts.report()
    charts.oxygen(report, "10:00", 15, by_others=True)
    charts.fact(report, BAG, "10:05", by_others=None)
    charts.fact(report, TUBE, "10:05", count=3, by_others=True)
    assert audit.judge(charts.batch(), ruleset, Settings()).height == 0


def test_a_procedure_that_was_considered_and_not_done_opens_nothing(charts: Charts, ruleset: Ruleset) -> None:
    report = charts.report()
    charts.fact(report, "eProcedures.03=47545007", "10:05", status="negated", why="refused")
    assert audit.judge(charts.batch(), ruleset, Settings()).height == 0


def test_a_tube_that_the_chart_affirms_and_denies_is_a_conflict(charts: Charts, ruleset: Ruleset) -> None:
    report = charts.report()
    charts.fact(report, TUBE, "10:05", count=2)
    charts.fact(report, TUBE, "10:05", status="negated")
    assert judged(charts, ruleset, ATTEMPT) == [("cannot_tell", "chart_conflict", None)]


def test_a_national_subset_report_cannot_answer_what_everyone_wore(charts: Charts, ruleset: Ruleset) -> None:
    report = charts.report(subset="national")
    charts.fact(report, SUPRAGLOTTIC, "10:05")
    assert judged(charts, ruleset, RESPIRATOR) == [("cannot_tell", "not_assessable", None)]


def test_a_finding_in_a_national_subset_report_is_the_systems(charts: Charts, ruleset: Ruleset) -> None:
    report = charts.report(subset="national")
    charts.fact(report, TUBE, "10:05", count=2)
    found = audit.judge(charts.batch(), ruleset, Settings()).filter(pl.col("rule") == ATTEMPT)
    assert found.select("outcome", "answerable_by").row(0) == ("not_met", "system")


def test_a_finding_on_the_arrest_record_alone_is_the_systems(charts: Charts, ruleset: Ruleset) -> None:
    report = charts.report()
    charts.fact(report, "eArrest.03=3003005")
    charts.member(report, "P-A")
    charts.fact(report, SURGICAL_MASK, member="P-A", call_group=1)
    found = audit.judge(charts.batch(), ruleset, Settings()).filter(pl.col("rule") == RESPIRATOR)
    assert found.select("outcome", "answerable_by").row(0) == ("not_met", "system")


def test_equipment_on_a_custom_value_that_nobody_mapped_makes_the_list_incomplete(
    charts: Charts, ruleset: Ruleset
) -> None:
    report = charts.report()
    charts.fact(report, SUPRAGLOTTIC, "10:05")
    charts.member(report, "P-A")
    charts.fact(report, SURGICAL_MASK, member="P-A", call_group=1)
    charts.fact(report, "custom:svc.mask=7", call_group=1, origin="custom")
    assert judged(charts, ruleset, RESPIRATOR) == [("cannot_tell", "list_incomplete", None)]


def test_lists_count_as_complete_only_from_the_date_in_the_settings(charts: Charts, ruleset: Ruleset) -> None:
    report = charts.report()
    charts.fact(report, SUPRAGLOTTIC, "10:05")
    charts.member(report, "P-A")
    charts.fact(report, GLOVES, member="P-A", call_group=1)
    complete = Settings(ppe_lists_complete_from=date(2026, 1, 10))
    not_yet = Settings(ppe_lists_complete_from=date(2026, 1, 11))
    assert judged(charts, ruleset, RESPIRATOR, complete) == [("not_met", None, None)]
    assert judged(charts, ruleset, RESPIRATOR, not_yet) == [("cannot_tell", "list_incomplete", None)]


def test_one_list_speaks_for_the_crew_from_the_date_in_the_settings(charts: Charts, ruleset: Ruleset) -> None:
    report = charts.report()
    charts.fact(report, SUPRAGLOTTIC, "10:05")
    charts.member(report, "P-A")
    charts.member(report, "P-B")
    charts.fact(report, N95, member="P-A", call_group=1)
    speaks = Settings(ppe_list_speaks_for=EquipmentLists(crew_from=date(2026, 1, 1)))
    assert judged(charts, ruleset, RESPIRATOR) == [("met", None, None), ("cannot_tell", "not_documented", None)]
    assert judged(charts, ruleset, RESPIRATOR, speaks) == [("met", None, None), ("met", None, None)]


def test_a_level_c_suit_is_a_respirator_where_the_agency_says_so(charts: Charts, ruleset: Ruleset) -> None:
    report = charts.report()
    charts.fact(report, SUPRAGLOTTIC, "10:05")
    charts.member(report, "P-A")
    charts.fact(report, "eOther.03=4503011", member="P-A", call_group=1)
    assert judged(charts, ruleset, RESPIRATOR, Settings(respirator_also=("level_c",))) == [("met", None, None)]


def test_surgical_mask_beside_other_is_no_finding(charts: Charts, ruleset: Ruleset) -> None:
    report = charts.report()
    charts.fact(report, SUPRAGLOTTIC, "10:05")
    charts.member(report, "P-A")
    for item in (SURGICAL_MASK, OTHER):
        charts.fact(report, item, member="P-A", call_group=1)
    assert judged(charts, ruleset, RESPIRATOR) == [("cannot_tell", "list_incomplete", None)]


def test_a_filter_is_not_assessable_without_an_agency_field(charts: Charts, ruleset: Ruleset) -> None:
    report = charts.report()
    charts.fact(report, BAG, "10:05")
    assert judged(charts, ruleset, FILTER) == [("cannot_tell", "not_assessable", None)]
    assert judged(charts, ruleset, FILTER, WITH_FILTER) == [("cannot_tell", "not_documented", None)]


def test_a_filter_tied_to_the_bag_speaks_for_its_episode_alone(charts: Charts, ruleset: Ruleset) -> None:
    report = charts.report()
    charts.fact(report, BAG, "10:05", call_group=1)
    charts.fact(report, SUPRAGLOTTIC, "10:25", call_group=2)
    charts.fact(report, "custom:svc.filter=1", call_group=1, origin="custom")
    charts.fact(report, "custom:svc.filter=0", call_group=2, origin="custom")
    assert judged(charts, ruleset, FILTER, WITH_FILTER) == [("met", None, None), ("not_met", None, None)]


def test_a_filter_tied_to_nothing_in_the_episode_speaks_for_nothing(charts: Charts, ruleset: Ruleset) -> None:
    report = charts.report()
    charts.fact(report, BAG, "10:05", call_group=1)
    charts.fact(report, "custom:svc.filter=0", call_group=77, origin="custom")
    assert judged(charts, ruleset, FILTER, WITH_FILTER) == [("cannot_tell", "not_documented", None)]


def test_somebody_elses_missing_filter_counts_against_no_one(charts: Charts, ruleset: Ruleset) -> None:
    report = charts.report()
    charts.fact(report, BAG, "10:05", call_group=1)
    charts.fact(report, "custom:svc.filter=0", call_group=1, origin="custom", by_others=None)
    assert judged(charts, ruleset, FILTER, WITH_FILTER) == [("cannot_tell", "not_documented", None)]


def test_entries_fifteen_minutes_apart_are_one_episode_and_sixteen_are_two(charts: Charts, ruleset: Ruleset) -> None:
    for later in ("10:20", "10:21"):
        report = charts.report()
        charts.fact(report, BAG, "10:05")
        charts.fact(report, BAG, later)
    found = audit.judge(charts.batch(), ruleset, WITH_FILTER).filter(pl.col("rule") == FILTER)
    assert found.group_by("report").len().sort("report")["len"].to_list() == [1, 2]


def test_an_untimed_bag_joins_the_episode_of_a_timed_one(charts: Charts, ruleset: Ruleset) -> None:
    report = charts.report()
    charts.fact(report, "eArrest.09=3009013")
    charts.fact(report, BAG, "10:05")
    found = audit.judge(charts.batch(), ruleset, WITH_FILTER).filter(pl.col("rule") == FILTER)
    assert found["opportunity"].to_list() == ["positive_pressure@2026-01-10T10:05:00Z#1"]


def test_an_untimed_bag_alone_is_an_untimed_episode(charts: Charts, ruleset: Ruleset) -> None:
    report = charts.report()
    charts.fact(report, "eArrest.09=3009013")
    charts.fact(report, SUPRAGLOTTIC, "10:05")
    found = audit.judge(charts.batch(), ruleset, WITH_FILTER).filter(pl.col("rule") == FILTER)
    assert found["opportunity"].to_list() == [
        "positive_pressure@2026-01-10T10:05:00Z#1",
        "positive_pressure@untimed#2",
    ]


def test_cpap_takes_a_filter_only_from_the_date_in_the_settings(charts: Charts, ruleset: Ruleset) -> None:
    report = charts.report()
    charts.fact(report, "eProcedures.03=47545007", "10:05")
    assert judged(charts, ruleset, FILTER, WITH_FILTER) == []
    since = WITH_FILTER.model_copy(update={"filter_on_cpap_from": date(2026, 1, 10)})
    assert judged(charts, ruleset, FILTER, since) == [("cannot_tell", "not_documented", None)]


def test_a_nebulizer_route_makes_the_event_whatever_the_drug(charts: Charts, ruleset: Ruleset) -> None:
    report = charts.report()
    charts.fact(report, NEBULIZER, "10:05")
    charts.member(report, "P-A")
    charts.fact(report, N95, member="P-A", call_group=1)
    assert judged(charts, ruleset, RESPIRATOR) == [("met", None, None)]


def test_reports_before_the_first_edition_are_counted_as_having_none(charts: Charts, ruleset: Ruleset) -> None:
    report = charts.report("2019-12-30")
    charts.fact(report, TUBE, "10:05", count=2)
    found = audit.judge(charts.batch(), ruleset, Settings())
    assert found.filter(pl.col("rule") == ATTEMPT)["edition"].to_list() == [None]
    assert judged(charts, ruleset, ATTEMPT) == [("cannot_tell", "no_edition", None)]


def test_an_empty_month_has_no_determinations(charts: Charts, ruleset: Ruleset) -> None:
    assert audit.judge(charts.batch(), ruleset, Settings()).height == 0


def test_many_chunks_judge_as_one(charts: Charts, ruleset: Ruleset, monkeypatch: pytest.MonkeyPatch) -> None:
    for minute in range(10):
        report = charts.report()
        charts.fact(report, TUBE, f"10:0{minute}", count=1 + minute % 2)
    whole = audit.judge(charts.batch(), ruleset, Settings())
    monkeypatch.setattr("qa_audit.audit.judgement.REPORTS_IN_A_CHUNK", 3)
    assert audit.judge(charts.batch(), ruleset, Settings()).equals(whole)


def test_a_therapy_time_beside_nobodys_zone_uses_the_reports_own_offset(charts: Charts, ruleset: Ruleset) -> None:
    # 2020-01-01 00:30 UTC is still 2019 by a clock six hours behind, and no edition is in force there.
    report = charts.report("2019-12-31", offset_minutes=-360, unit_notified=at("2020-01-01 00:10"), at_patient=None)
    charts.fact(report, TUBE, None, count=1)
    charts.facts[-1]["time"] = at("2020-01-01 00:30")
    assert judged(charts, ruleset, ATTEMPT) == [("cannot_tell", "no_edition", None)]
