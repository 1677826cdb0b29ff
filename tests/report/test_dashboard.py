"""The dashboard: what leadership sees of a large service, and what it does not see of a small one."""

from __future__ import annotations

import re
from pathlib import Path

import polars as pl
import pytest
from report.browser import axe_violations, chromium, overflows_at
from report.months import FILTER, VEHICLES, calendar, invented, month_of, ruleset, settings, stored
from report.pages import links, rows, text

from qa_audit import measure
from qa_audit.report import dashboard

__all__ = ["chromium"]

SMALL, LARGE = 40, 400
SMALL_COUNT = re.compile(r"(?<![\d.,-])(?:[1-9]|10)(?: of \d|$)")


def page(folder: Path, months: list[str], reports: int, shown: int = -1) -> Path:
    made = invented(months, reports)
    figures = measure.count(stored(made))
    return dashboard.write(month_of(made, months[shown], reports), figures, ruleset(), settings(), folder)


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return page(tmp_path_factory.mktemp("small"), calendar("2026-01", 3), SMALL)


@pytest.fixture(scope="module")
def large(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return page(tmp_path_factory.mktemp("large"), calendar("2023-07", 33), LARGE)


def test_nobody_and_no_report_stands_on_it(small: Path, large: Path) -> None:
    for path in (small, large):
        said = path.read_text(encoding="utf-8")
        labels = [settings().label(vehicle) for vehicle in VEHICLES]
        assert not [word for word in (*VEHICLES, *labels, "R-2026", "evidence/") if word in said]
        assert links(path) == ["#content"]


def test_no_small_count_stands_in_any_cell(small: Path, large: Path) -> None:
    for path in (small, large):
        assert [cell for row in rows(path) for cell in row[1:] if SMALL_COUNT.search(cell)] == []


def test_a_small_service_is_told_that_scores_are_hidden_and_gets_the_quarter(small: Path) -> None:
    said = text(small)
    assert "No score can be shown yet" in said
    assert "1-10, not shown" in said
    assert "January to March 2026" in said


def test_before_the_quarter_has_ended_the_page_says_where_it_will_stand(tmp_path: Path) -> None:
    said = text(page(tmp_path, calendar("2026-01", 3), SMALL, shown=0))
    assert "The quarter's figures stand on the page of its last month." in said
    assert "January to March 2026" not in said


def test_score_interval_and_bounds_stand_together(large: Path) -> None:
    found = dict(row[:2] for row in rows(large) if len(row) == 2)
    assert re.search(
        r"\d+ of \d+ \(\d+ %; 95 % interval \d+ % to \d+ %\)", found["As the standard asks, of those judged"]
    )
    assert re.search(r"\d+ % to \d+ % of \d+", found["Bounds, silent reports taken either way"])


def test_no_percentage_stands_where_more_than_thirty_percent_cannot_be_told(large: Path) -> None:
    scores = [row[1] for row in rows(large) if row[:1] == ["As the standard asks, of those judged"]]
    assert [score for score in scores if score.endswith("no percentage, too much cannot be told")]


def test_the_head_holds_at_most_three_sentences_and_five_wishes(small: Path, large: Path) -> None:
    for path in (small, large):
        said = path.read_text(encoding="utf-8")
        assert 1 <= said.count('class="lead"') <= 3
        wanted = re.search(r"Wanted from you</h2>(.*?)<h2", said, re.DOTALL)
        assert wanted
        assert 1 <= wanted.group(1).count("<li>") <= 5


def test_a_rule_without_a_field_says_so_and_the_field_is_asked_for(large: Path) -> None:
    said = text(large)
    assert "It cannot be judged here: the records have no field for it." in said
    assert "One field in the charting system, for: A viral filter is in line" in said
    assert FILTER not in said


def test_every_chart_has_words_and_a_table(large: Path) -> None:
    said = large.read_text(encoding="utf-8")
    charts = said.count("<svg")
    assert charts == 3
    assert said.count("<desc") == said.count("<title id=") == said.count("The same as a table") == charts
    assert len([row for row in rows(large) if row[:1] == ["July 2023"]]) == charts


def test_a_new_edition_is_marked_and_a_changed_rule_is_not_drawn_through(large: Path) -> None:
    said = text(large)
    assert "a: Respiratory precautions, lower ceiling where an infection is suspected, 17 February 2026." in said
    assert "Hollow point: the standard changed within the period, not tested." in said
    assert "under the changed standard" in said


def test_the_same_figures_give_the_same_bytes(large: Path, tmp_path: Path) -> None:
    again = page(tmp_path, calendar("2023-07", 33), LARGE)
    assert again.read_bytes() == large.read_bytes()


def test_a_page_of_an_old_month_does_not_change_when_later_months_come(tmp_path: Path) -> None:
    months = calendar("2025-10", 4)
    early = page(tmp_path / "early", months[:3], LARGE)
    late = page(tmp_path / "late", months, LARGE, shown=2)
    assert early.read_text(encoding="utf-8") == late.read_text(encoding="utf-8")


def test_it_is_drawn_from_published_figures_alone(tmp_path: Path) -> None:
    months = calendar("2026-01", 3)
    made = invented(months, SMALL)
    figures = measure.count(stored(made))
    nothing = {"counts": figures.counts.filter(pl.col("recipient").is_null()), "scores": figures.scores.clear()}
    bare = type(figures)(
        **{**vars(figures), **nothing, "reasons": figures.reasons.clear(), "composites": figures.composites.clear()}
    )
    month = month_of(made, months[-1], SMALL)
    one = dashboard.write(month, figures, ruleset(), settings(), tmp_path / "one")
    two = dashboard.write(month, bare, ruleset(), settings(), tmp_path / "two")
    assert one.read_bytes() == two.read_bytes()


@pytest.mark.parametrize("width", [360, 1280])
def test_it_needs_no_sideways_scrolling(chromium: object, small: Path, large: Path, width: int) -> None:
    assert not overflows_at(chromium, small, width)
    assert not overflows_at(chromium, large, width)


def test_axe_finds_nothing_against_it(chromium: object, small: Path, large: Path) -> None:
    assert axe_violations(chromium, small) == []
    assert axe_violations(chromium, large) == []
