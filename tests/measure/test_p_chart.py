"""p-chart, against examples of Montgomery, Introduction to Statistical Quality Control (counts as in R package qcc)."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some
from scipy.stats import binom

from qa_audit.measure.p_chart import centre_of, exact_tail, limits, outside
from qa_audit.measure.run_rules import Runs, runs

CANS = [12, 15, 8, 10, 4, 7, 16, 9, 14, 10, 5, 6, 17, 12, 22, 8, 10, 5, 13, 11, 20, 18, 24, 15, 9, 12, 7, 13, 9, 6]
ADJUSTED = [9, 6, 12, 5, 6, 4, 6, 3, 7, 6, 2, 4, 3, 6, 5, 4, 8, 5, 6, 7, 5, 6, 3, 5]
"""Example 7.1: nonconforming cans in samples of 50, before and after the machine was adjusted."""
TABLE_7_4 = [
    (12, 100), (8, 80), (6, 80), (9, 100), (10, 110), (12, 110), (11, 100), (16, 100), (10, 90), (6, 90), (20, 110),
    (15, 120), (9, 120), (8, 120), (6, 110), (8, 80), (10, 80), (7, 80), (5, 90), (8, 100), (5, 100), (8, 100),
    (10, 100), (6, 90), (9, 90),
]  # fmt: skip


def beyond(counts: list[int], centre: float) -> list[int]:
    return [place for place, count in enumerate(counts, 1) if outside(count, 50, centre)]


def test_the_limits_of_example_7_1_are_the_published_ones() -> None:
    centre = centre_of(CANS, [50] * 30)
    band = limits(centre, 50)
    assert round(centre, 7) == 0.2313333
    assert (round(band.lower, 8), round(band.upper, 7)) == (0.05242755, 0.4102391)
    assert beyond(CANS, centre) == [15, 23]


def test_without_the_two_explained_samples_they_are_the_published_revised_ones() -> None:
    kept = [count for place, count in enumerate(CANS, 1) if place not in (15, 23)]
    centre = centre_of(kept, [50] * 28)
    band = limits(centre, 50)
    assert (centre, round(band.lower, 8), round(band.upper, 7)) == (0.215, 0.04070284, 0.3892972)
    assert beyond(CANS, centre) == [15, 21, 23]
    assert runs([count / 50 for count in kept], centre) == Runs(useful=28, longest_run=5, crossings=13)


def test_against_the_frozen_centre_the_adjusted_machine_shows_in_the_run_rules() -> None:
    found = runs([count / 50 for count in CANS + ADJUSTED], 0.215)
    assert found == Runs(useful=54, longest_run=21, crossings=15)
    assert found.signal
    assert [place + 30 for place in beyond(ADJUSTED, 0.215)] == [41]


def test_the_adjusted_machine_alone_has_a_lower_limit_of_nought() -> None:
    centre = centre_of(ADJUSTED, [50] * 24)
    assert round(centre, 7) == 0.1108333
    assert (limits(centre, 50).lower, round(limits(centre, 50).upper, 7)) == (0.0, 0.2440207)


@pytest.mark.parametrize(
    ("judged", "lower", "upper"),
    [
        (80, 0, 0.194093),
        (90, 0.002565, 0.188455),
        (100, 0.007335, 0.183686),
        (110, 0.011438, 0.179582),
        (120, 0.015017, 0.176003),
    ],
)
def test_limits_follow_the_size_of_each_sample(judged: int, lower: float, upper: float) -> None:
    """Table 7.4."""
    centre = centre_of([count for count, _ in TABLE_7_4], [many for _, many in TABLE_7_4])
    band = limits(centre, judged)
    assert (round(band.lower, 6), round(band.upper, 6)) == (lower, upper)
    assert [place for place, each in enumerate(TABLE_7_4, 1) if outside(*each, centre)] == [11]


@pytest.mark.parametrize(
    ("count", "judged", "centre", "found"),
    [
        (22, 50, 347 / 1500, "signal"),
        (24, 50, 347 / 1500, "signal"),
        (20, 50, 0.215, "watch"),
        (2, 50, 0.215, "signal"),
        (20, 110, 234 / 2450, "watch"),
    ],
)
def test_a_signal_needs_the_exact_tail_as_well(count: int, judged: int, centre: float, found: str) -> None:
    """Tails .000893, .000103, .002356, .000590 and .0037: check values computed with scipy."""
    assert outside(count, judged, centre) == found


@settings(max_examples=60, deadline=None)
@given(some.integers(1, 4000), some.fractions(Fraction(1, 50), Fraction(49, 50)), some.data())
def test_the_exact_tail_is_scipys(judged: int, centre: Fraction, data: some.DataObject) -> None:
    met, share = data.draw(some.integers(0, judged)), float(centre)
    expected = binom.sf(met - 1, judged, share) if met > share * judged else binom.cdf(met, judged, share)
    assert exact_tail(met, judged, share) == pytest.approx(expected, rel=1e-6, abs=1e-12)


def test_a_baseline_in_which_everything_was_met_makes_any_miss_a_signal() -> None:
    assert outside(49, 50, 1.0) == "signal"
    assert outside(50, 50, 1.0) is None
