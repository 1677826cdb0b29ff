"""Scoring, against published intervals, a published proportion and scipy."""

from __future__ import annotations

from math import isclose

import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as some
from scipy.stats import binomtest

from qa_audit.measure.scoring import scored


def score(met: int, not_met: int, cannot_tell: int = 0) -> dict[str, float]:
    return scored(pl.DataFrame({"met": [met], "not_met": [not_met], "cannot_tell": [cannot_tell]})).row(0, named=True)


@pytest.mark.parametrize(
    ("met", "judged", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_wilsons_interval_is_the_published_one(met: int, judged: int, low: float, high: float) -> None:
    """Newcombe, Stat Med 1998;17:857-872, Table I, method 3."""
    found = score(met, judged - met)
    assert (round(found["low"], 4), round(found["high"], 4)) == (low, high)


@settings(max_examples=60, deadline=None)
@given(some.integers(0, 3000), some.integers(0, 3000))
def test_wilsons_interval_is_scipys(met: int, not_met: int) -> None:
    judged = met + not_met
    if judged == 0:
        assert score(met, not_met)["low"] is None
        return
    expected = binomtest(met, judged).proportion_ci(method="wilson")
    found = score(met, not_met)
    assert isclose(found["low"], expected.low, abs_tol=1e-9)
    assert isclose(found["high"], expected.high, abs_tol=1e-9)


def test_a_proportion_is_taken_after_exclusions_and_exceptions() -> None:
    """HL7 Quality Measure IG 2.0.0, IGProportion-summary: 3 less 1, of 6 less 1 excluded and 1 excepted: 0.5."""
    assert score(met=3 - 1, not_met=(6 - 1 - 1) - (3 - 1))["share"] == 0.5


def test_nothing_judged_has_no_score_and_no_interval() -> None:
    found = score(0, 0, cannot_tell=4)
    assert (found["share"], found["low"], found["high"], found["headline"]) == (None, None, None, False)
    assert (found["least"], found["most"]) == (0.0, 1.0)


def test_a_rule_that_applied_to_nothing_has_no_bounds_either() -> None:
    found = score(0, 0)
    assert (found["least"], found["most"]) == (None, None)


def test_silence_opens_the_bounds_and_forbids_the_headline() -> None:
    """28 met, 1 not met and 71 silent: somewhere from 28 to 99 %, not 97 %."""
    found = score(28, 1, 71)
    assert (found["least"], found["most"], found["headline"]) == (0.28, 0.99, False)


def test_thirty_percent_untold_still_has_a_headline_and_one_more_has_none() -> None:
    assert score(60, 10, 30)["headline"]
    assert not score(60, 9, 31)["headline"]


@given(some.integers(0, 500), some.integers(0, 500), some.integers(0, 500))
def test_the_share_lies_between_its_bounds(met: int, not_met: int, cannot_tell: int) -> None:
    found = score(met, not_met, cannot_tell)
    if met + not_met:
        assert found["least"] <= found["share"] <= found["most"]
        assert found["low"] <= found["share"] <= found["high"]
