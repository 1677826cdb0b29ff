from __future__ import annotations

import pytest
from charting import RULESETS

from qa_audit import rules
from qa_audit.rules import Edition, Rule
from qa_audit.rules.examples import judge_examples, wrong_examples

RULES = [
    pytest.param(edition, rule, id=f"{edition.folder}/{rule.id}")
    for edition in rules.load(RULESETS, None).editions
    for rule in edition.rules.values()
]


def test_every_rule_file_is_collected() -> None:
    assert len(RULES) == len(list(RULESETS.glob("*/*/rules/*/*.yaml")))


@pytest.mark.parametrize(("edition", "rule"), RULES)
def test_every_example_comes_out_as_written(edition: Edition, rule: Rule) -> None:
    assert [str(fault) for fault in wrong_examples(rule, edition)] == []


@pytest.mark.parametrize(("edition", "rule"), RULES)
def test_no_example_leaks_into_its_neighbours(edition: Edition, rule: Rule) -> None:
    count = len(rule.examples)
    in_order = judge_examples(rule, edition)
    reversed_order = judge_examples(rule.model_copy(update={"examples": rule.examples[::-1]}), edition)
    assert {count - 1 - number: found for number, found in reversed_order.items()} == in_order
    every_other = judge_examples(rule.model_copy(update={"examples": rule.examples[::2]}), edition)
    assert {number * 2: found for number, found in every_other.items()} == {
        number: found for number, found in in_order.items() if number % 2 == 0
    }


def test_an_example_that_fails_says_what_was_found() -> None:
    edition = rules.load(RULESETS, None).editions[0]
    rule = edition.rules["one-intubation-attempt"]
    wrong = rule.examples[0].model_copy(update={"amount": 3.0})
    spoilt = rule.model_copy(update={"examples": (wrong, *rule.examples[1:])})
    faults = [str(fault) for fault in wrong_examples(spoilt, edition)]
    assert len(faults) == 1
    assert "expects met, amount 3, found met, amount 1" in faults[0]
    assert "one-intubation-attempt.yaml:" in faults[0]
