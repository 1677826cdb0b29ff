from __future__ import annotations

from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from report.charted_month import ruleset

from qa_audit.report import wording
from qa_audit.rules import Rule
from qa_audit.tables.determinations import CANNOT_TELL_REASONS, OUTCOME_WORDS
from qa_audit.tables.held_back import CHECKS

RULES = [rule for edition in ruleset().editions for rule in edition.rules.values()]


def test_every_outcome_reason_and_hold_back_check_has_its_words() -> None:
    assert set(wording.OUTCOME_NAMES) == set(OUTCOME_WORDS)
    assert set(CANNOT_TELL_REASONS) <= set(wording.REASONS)
    assert set(wording.HELD_BACK) == set(CHECKS.categories)


def test_silence_is_a_charting_gap_and_another_doubt_is_not() -> None:
    assert wording.outcome_name("cannot_tell", "not_documented") == "Charting gap"
    assert wording.outcome_name("cannot_tell", "time_missing") == "Cannot be told"
    assert wording.outcome_name("not_met", None) == "Care finding"


def test_a_cohort_is_explained_by_the_editions_own_words() -> None:
    concepts = ruleset().editions[0].concepts
    sentence = wording.reason_sentence("carbon_monoxide", concepts)
    assert sentence == "Set apart by the guidance: Carbon monoxide poisoning; saturation readings mean nothing."


def test_a_documented_exception_says_whose_reason_it_was() -> None:
    assert wording.reason_sentence("patient:not-tolerated", {}) == "The patient's own wish is charted. (not tolerated)"


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
@pytest.mark.parametrize("reason", CANNOT_TELL_REASONS)
def test_every_doubt_of_every_shipped_rule_has_a_sentence_of_its_own_or_a_general_one(rule: Rule, reason: str) -> None:
    sentence = wording.feedback(rule, "cannot_tell", reason, None)
    assert sentence.endswith(".")
    assert "{" not in sentence


def test_an_amount_takes_the_place_of_its_mark_without_needless_decimals() -> None:
    rule = ruleset().editions[0].rules["oxygen-kept-within-target"]
    assert "for 20 minutes" in wording.feedback(rule, "not_met", None, 20.0)
    assert "for 19.5 minutes" in wording.feedback(rule, "not_met", None, 19.5)
    assert "{amount}" not in wording.feedback(rule, "not_met", None, None)


def test_a_summer_and_a_winter_instant_are_read_on_the_clock_of_their_zone() -> None:
    winter, summer = datetime(2026, 1, 3, 16, tzinfo=UTC), datetime(2026, 7, 3, 16, tzinfo=UTC)
    assert wording.local(winter, "America/Chicago", 0).hour == 10
    assert wording.local(summer, "America/Chicago", 0).hour == 11


def test_without_a_zone_the_reports_own_offset_decides() -> None:
    assert wording.local(datetime(2026, 1, 3, 2, tzinfo=UTC), None, -300).isoformat().startswith("2026-01-02T21:00")


@given(st.lists(st.text("abc", min_size=1), max_size=5))
def test_a_list_in_words_names_every_part_in_order(parts: list[str]) -> None:
    words = wording.joined(parts)
    assert words.replace(" and ", ", ").split(", ") == (parts or [""])


@given(st.integers(0, 10_000))
def test_one_is_singular_and_everything_else_is_plural(many: int) -> None:
    assert wording.counted(many, "call") == f"{many} call{'' if many == 1 else 's'}"
