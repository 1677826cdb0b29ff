from __future__ import annotations

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from report.charted_month import (
    CANNULA,
    FILTER_NOT_USED,
    GLOVES,
    INFLUENZA,
    NURSE,
    OXYGEN,
    SATURATION,
    SURGICAL_MASK,
    TUBE,
    UNIT_7,
    Call,
    calls,
    ruleset,
    settings,
)

from qa_audit.report.bands import band_of, ceiling_words
from qa_audit.report.entries import Entry, entries_of, resting_on
from qa_audit.report.vocabulary import headword, vocabulary
from qa_audit.rules.kinds import WithinBand
from qa_audit.tables import FACTS

WORDS = vocabulary(ruleset().editions[0], settings())
OXYGEN_RULE = ruleset().editions[0].rules["oxygen-kept-within-target"].check


def call() -> Call:
    return Call(1, UNIT_7, calls()[0].start)


def entries(made: Call) -> list[Entry]:
    facts = FACTS.frame(made.facts).with_columns(
        pl.col("item").cast(pl.String), fact=pl.int_range(pl.len(), dtype=pl.UInt32)
    )
    return entries_of(facts, WORDS)


def test_a_drug_and_its_route_are_one_entry_named_by_the_device() -> None:
    (entry,) = entries(call().chart(OXYGEN, CANNULA, at=5, value=2.0, unit="L/min", member=NURSE))
    assert (entry.what, entry.value, entry.member) == ("oxygen by nasal cannula", "2 L/min", NURSE)
    assert entry.codes == (OXYGEN, CANNULA)


def test_a_list_names_what_the_edition_names_and_counts_the_rest() -> None:
    (entry,) = entries(call().chart(SURGICAL_MASK, GLOVES, GLOVES, member=NURSE))
    assert entry.what == "a surgical or procedure mask and 2 more items"


def test_an_attempt_shows_its_count_and_whether_it_succeeded() -> None:
    (entry,) = entries(call().chart(TUBE, at=5, count=2, success=False))
    assert entry.value == "2 attempts; without success"


def test_a_reading_is_in_percent_and_readings_are_entries_of_their_own() -> None:
    made = call().chart(SATURATION, at=5, value=97.0).chart(SATURATION, at=6, value=98.5)
    assert [entry.value for entry in entries(made)] == ["97 %", "98.5 %"]


def test_what_stands_empty_says_so_with_its_reason() -> None:
    made = call().chart(SATURATION, at=5)
    made.facts[0] |= {"status": "missing", "why": "finding_not_present"}
    (entry,) = entries(made)
    assert entry.empty
    assert entry.value == "no value charted (finding not present)"


def test_denial_by_the_standard_and_by_an_own_field_are_both_a_no() -> None:
    made = call().chart(TUBE, at=5).beside(FILTER_NOT_USED)
    made.facts[0]["status"] = "negated"
    assert [entry.said_no for entry in entries(made)] == [True, True]


def test_entries_stand_in_time_order_with_untimed_ones_last() -> None:
    made = call().chart(INFLUENZA).chart(TUBE, at=9).chart(SATURATION, at=3, value=97.0)
    assert [entry.time is None for entry in entries(made)] == [False, False, True]
    assert entries(made)[0].value == "97 %"


def test_what_no_concept_claims_is_left_out() -> None:
    assert entries(call().chart("eVitals.10", at=3, value=80.0)) == []


def test_the_entries_behind_a_finding_are_those_that_hold_its_facts() -> None:
    made = call().chart(OXYGEN, CANNULA, at=5).chart(SATURATION, at=6, value=99.0)
    assert [entry.what for entry in resting_on(entries(made), [2])] == ["oxygen saturation by pulse oximeter"]


@given(st.lists(st.sampled_from([OXYGEN, CANNULA, SATURATION, TUBE, GLOVES, INFLUENZA]), max_size=12))
def test_every_claimed_fact_stands_in_exactly_one_entry(items: list[str]) -> None:
    made = call()
    for place, item in enumerate(items):
        made.chart(item, at=place % 4)
        made.facts[-1]["call_group"] = None if place % 5 == 0 else place % 3
    found = [fact for entry in entries(made) for fact in entry.facts] if items else []
    assert sorted(found) == list(range(len(items)))


@pytest.mark.parametrize(
    ("charted", "age", "words"),
    [
        ("eSituation.11=R07.9", 60.0, "at most 98 % (everyone else)"),
        (INFLUENZA, 60.0, "at most 96 % (a respiratory infection is suspected)"),
        ("eHistory.08=J44.1", 60.0, "at most 92 % (at risk of carbon dioxide retention)"),
        ("eSituation.11=T58.11XA", 60.0, "carbon monoxide poisoning: not judged"),
        ("eSituation.11=R07.9", 28 / 365.25, "at most 28 days old: not judged"),
        ("eSituation.11=R07.9", 29 / 365.25, "at most 98 % (everyone else)"),
    ],
)
def test_the_band_is_the_first_whose_cohort_the_report_belongs_to(charted: str, age: float, words: str) -> None:
    assert isinstance(OXYGEN_RULE, WithinBand)
    assert ceiling_words(band_of(OXYGEN_RULE, entries(call().chart(charted)), age, WORDS), WORDS) == words


def test_a_denied_illness_is_no_cohort() -> None:
    made = call().chart(INFLUENZA)
    made.facts[0]["status"] = "negated"
    assert isinstance(OXYGEN_RULE, WithinBand)
    assert band_of(OXYGEN_RULE, entries(made), None, WORDS).ceiling == 98


def test_a_sentence_is_cut_to_its_head() -> None:
    assert headword("Oxygen is being given, as a drug or as a procedure.") == "oxygen is being given"
    assert headword("CPAP by mask; always.") == "CPAP by mask"
