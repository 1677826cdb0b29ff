"""Run rules, against the published table of limits."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as some
from scipy.stats import binom

from qa_audit.measure.run_rules import Runs, fewest_allowed, longest_allowed, runs

TABLE = {
    10: (6, 2), 11: (6, 2), 12: (7, 3), 13: (7, 3), 14: (7, 4), 15: (7, 4), 16: (7, 4), 17: (7, 5), 18: (7, 5),
    19: (7, 6), 20: (7, 6), 21: (7, 6), 22: (7, 7), 23: (8, 7), 24: (8, 8), 25: (8, 8), 26: (8, 8), 27: (8, 9),
    28: (8, 9), 29: (8, 10), 30: (8, 10), 31: (8, 11), 32: (8, 11), 33: (8, 11), 34: (8, 12), 35: (8, 12), 36: (8, 13),
}  # fmt: skip
"""Anhoej and Olesen, PLoS ONE 2014; qicharts2: longest run and fewest crossings that chance may give."""


@pytest.mark.parametrize("useful", TABLE)
def test_the_limits_are_the_published_ones(useful: int) -> None:
    assert (longest_allowed(useful), fewest_allowed(useful)) == TABLE[useful]


@given(some.integers(1, 200))
def test_the_fewest_crossings_are_scipys_quantile(useful: int) -> None:
    assert fewest_allowed(useful) == int(binom.ppf(0.05, useful - 1, 0.5)) if useful > 1 else fewest_allowed(1) == 0


def test_a_point_on_the_centre_neither_makes_nor_breaks_a_run() -> None:
    assert runs([1, 2, 0, 3, -1, 0, -2, 4], 0) == Runs(useful=6, longest_run=3, crossings=2)


def test_one_point_too_many_on_one_side_is_a_signal() -> None:
    assert not Runs(useful=12, longest_run=7, crossings=4).signal
    assert Runs(useful=12, longest_run=8, crossings=4).signal


def test_one_crossing_too_few_is_a_signal() -> None:
    assert not Runs(useful=20, longest_run=5, crossings=6).signal
    assert Runs(useful=20, longest_run=5, crossings=5).signal


def test_a_series_that_never_leaves_its_centre_says_nothing() -> None:
    assert not runs([0.5] * 30, 0.5).signal
