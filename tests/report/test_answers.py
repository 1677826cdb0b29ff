"""Answers: the order of rules on pages, and the field that helps."""

from __future__ import annotations

from report.months import ATTEMPTS, FILTER, RESPIRATOR, ruleset, settings

from qa_audit.report.answers import field_that_helps, rules_of
from qa_audit.settings import CustomElement

EDITION = ruleset().editions[0]


def test_rules_come_by_severity_and_then_by_title() -> None:
    titles = [rule.title for _, rule in rules_of("2026-01", ruleset(), set())]
    assert titles == sorted(titles)
    assert len(titles) == len(EDITION.rules)


def test_a_month_shows_the_last_edition_in_force_in_it() -> None:
    assert {edition.folder for edition, _ in rules_of("2026-01", ruleset(), set())} == {"2020-01-01"}
    assert {edition.folder for edition, _ in rules_of("2026-02", ruleset(), set())} == {"2026-02-17"}


def test_a_field_that_is_needed_goes_before_one_that_only_helps() -> None:
    needed = field_that_helps(EDITION, EDITION.rules[FILTER], settings())
    helpful = field_that_helps(EDITION, EDITION.rules[ATTEMPTS], settings())
    assert needed is not None
    assert (needed.concept, needed.needed) == ("viral_filter", True)
    assert helpful is not None
    assert (helpful.concept, helpful.needed) == ("extubation", False)


def test_a_rule_that_the_standard_answers_asks_for_no_field() -> None:
    assert field_that_helps(EDITION, EDITION.rules[RESPIRATOR], settings()) is None


def test_a_field_that_the_settings_map_is_there() -> None:
    mapped = {"svc.tubeOut": CustomElement(concept="extubation", values={"1": "present"})}
    assert field_that_helps(EDITION, EDITION.rules[ATTEMPTS], settings(custom_elements=mapped)) is None
