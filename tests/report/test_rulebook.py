from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

from report.browser import axe_violations, chromium, overflows_at
from report.charted_month import charted_month, ruleset, settings
from report.test_letters import text_of, weakened

from qa_audit.report import rulebook
from qa_audit.rules import Ruleset
from qa_audit.tables import Month

__all__ = ["chromium"]


@cache
def month() -> Month:
    return charted_month()


def page(folder: Path, name: str = "2026-01", rules: Ruleset | None = None, **changes: Any) -> str:
    path = rulebook.write(replace(month(), month=name), rules or ruleset(), settings(**changes), folder)
    return path.read_text(encoding="utf-8")


def said(folder: Path, name: str = "2026-01", rules: Ruleset | None = None, **changes: Any) -> str:
    return text_of(page(folder, name, rules, **changes))


def test_every_rule_of_the_edition_in_force_stands_with_all_that_is_signed(tmp_path: Path) -> None:
    shown = said(tmp_path)
    for rule in ruleset().editions[0].rules.values():
        words = (
            rule.title,
            rule.why,
            rule.check.sentence(),
            rule.known_limits,
            rule.feedback.next_step,
            rule.feedback.met,
        )
        for sentence in words:
            assert " ".join(sentence.split()) in shown
    assert "Medical director" in shown


def test_the_sources_are_named_by_title(tmp_path: Path) -> None:
    assert "BTS guideline for oxygen use in adults in healthcare and emergency settings" in said(tmp_path)


def test_the_ceilings_stand_by_cohort_in_the_order_in_which_they_are_asked(tmp_path: Path) -> None:
    shown = said(tmp_path)
    rows = ["carbon monoxide poisoning not judged", "at risk of carbon dioxide retention 92 %",
            "a respiratory infection is suspected 96 %", "everyone else 98 %"]  # fmt: skip
    places = [shown.index(row) for row in rows]
    assert places == sorted(places)


def test_a_month_with_a_changeover_holds_both_editions_and_only_what_changed_twice(tmp_path: Path) -> None:
    shown = said(tmp_path, "2026-02")
    assert "In force from 1 January 2020 until 17 February 2026, 12:00." in shown
    assert "In force from 17 February 2026, 12:00 until further notice." in shown
    assert "a respiratory infection is suspected 96 %" in shown
    assert "a respiratory infection is suspected 94 %" in shown
    assert shown.count("Judges otherwise than the edition before.") == 1
    assert "Unchanged, word for word as above: A tracheal tube is placed in one attempt." in shown


def test_months_on_either_side_hold_one_edition_each(tmp_path: Path) -> None:
    assert "respiratory-precautions@2026-02-17" not in said(tmp_path, "2026-01")
    assert "respiratory-precautions@2020-01-01" not in said(tmp_path, "2026-03")


def test_a_month_before_any_edition_says_that_nothing_was_judged(tmp_path: Path) -> None:
    assert "No edition was in force in this month, so nothing was judged." in said(tmp_path, "2019-12")


def test_what_each_answer_rests_on_is_said(tmp_path: Path) -> None:
    assert "Standard elements: eVitals.12." in said(tmp_path)
    assert "The service's own fields: svc.filter. The standard has none for it." in said(tmp_path)
    assert "which does not exist yet; until then it cannot be judged here." in said(tmp_path, custom_elements={})


def test_strength_and_who_can_answer_are_in_words(tmp_path: Path) -> None:
    shown = said(tmp_path, rules=weakened("one-intubation-attempt", strength="should", answerable_by="system"))
    assert "should: the guidance recommends it" in shown
    assert "a finding is for the service (equipment, stock, training, records) to answer." in shown


def test_a_placeholder_is_never_printed(tmp_path: Path) -> None:
    assert "{amount}" not in page(tmp_path)


def test_markup_in_a_rule_stays_text(tmp_path: Path) -> None:
    html = page(tmp_path, rules=weakened("one-intubation-attempt", why='Say "less" <b>than</b> تنبيب'))
    assert "<b>than</b>" not in html
    assert 'Say "less" <b>than</b> تنبيب' in text_of(html)


def test_axe_finds_nothing_and_a_narrow_screen_needs_no_sideways_scrolling(chromium: Any, tmp_path: Path) -> None:
    page(tmp_path, "2026-02")
    assert axe_violations(chromium, tmp_path / "rulebook.html") == []
    assert not overflows_at(chromium, tmp_path / "rulebook.html", 360)
