from __future__ import annotations

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest

from qa_audit.report.own_numbers import Count, own_numbers, rolling_months, wilson
from qa_audit.tables import FIGURES

RULE = "oxygen-kept-within-target"


def row(month: str, recipient: str | None, met: int, not_met: int, *, system: int = 0) -> dict[str, object]:
    nothing = ("cannot_tell", "not_documented", "not_assessable", "no_edition", "excepted", "excluded")
    counts = dict.fromkeys(nothing, 0) | {"met": met, "not_met": not_met, "system": system}
    return {"month": month, "rule": RULE, "recipient": recipient, **counts}


def figures(*rows: dict[str, object]) -> pl.DataFrame:
    return FIGURES.frame(list(rows))


@pytest.mark.parametrize(
    ("met", "judged", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_wilson_gives_the_published_intervals(met: int, judged: int, low: float, high: float) -> None:
    # Newcombe, Stat Med 1998;17:857-872, Table I, method 3.
    assert wilson(met, judged) == pytest.approx((low, high), abs=0.00005)


@given(st.integers(1, 2000).flatmap(lambda judged: st.tuples(st.integers(0, judged), st.just(judged))))
def test_wilson_agrees_with_scipy(counts: tuple[int, int]) -> None:
    met, judged = counts
    expected = binomtest(met, judged).proportion_ci(method="wilson")
    assert wilson(met, judged) == pytest.approx((expected.low, expected.high), abs=1e-9)


def test_a_percentage_appears_at_ten_judged_calls_and_not_at_nine() -> None:
    assert Count(8, 9).words == "8 of 9"
    assert Count(9, 10).words == "9 of 10 (90 %, 60 to 98)"
    assert Count(0, 0).words == "\N{EN DASH}"


def test_a_letter_looks_back_at_most_three_months_and_never_ahead() -> None:
    every = figures(*(row(f"2026-0{number}", None, 1, 0) for number in range(1, 6)))
    assert rolling_months(every, "2026-04") == ["2026-02", "2026-03", "2026-04"]
    assert rolling_months(every, "2026-01") == ["2026-01"]


def test_the_months_add_up_to_the_count_over_all_of_them() -> None:
    every = figures(row("2026-01", "U-1", 3, 1), row("2026-02", "U-1", 5, 0), row("2026-02", None, 50, 5))
    (number,) = own_numbers(every, "U-1", ["2026-01", "2026-02"])
    assert number.by_month == (Count(3, 4), Count(5, 5))
    assert number.own == Count(8, 9)


def test_a_finding_that_only_the_service_can_answer_counts_against_no_crew() -> None:
    (number,) = own_numbers(figures(row("2026-01", "U-1", 3, 2, system=2)), "U-1", ["2026-01"])
    assert number.own == Count(3, 3)


@pytest.mark.parametrize(("others", "shown"), [(2, False), (3, True)])
def test_the_services_count_needs_three_others_behind_it(others: int, *, shown: bool) -> None:
    crews = [row("2026-01", f"U-{number}", 4, 1) for number in range(2, 2 + others)]
    every = figures(row("2026-01", "U-1", 3, 1), *crews, row("2026-01", None, 30, 10))
    (number,) = own_numbers(every, "U-1", ["2026-01"])
    assert number.service == (Count(30, 40) if shown else None)


def test_a_rule_that_judged_no_call_of_the_recipient_is_left_out() -> None:
    every = figures(row("2026-01", "U-1", 0, 0), row("2026-01", "U-2", 4, 4), row("2026-01", None, 4, 4))
    assert own_numbers(every, "U-1", ["2026-01"]) == []
