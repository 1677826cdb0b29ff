"""summary.json of a month, as contracts.md section 8 lists it."""

from __future__ import annotations

import json

from report.months import ATTEMPTS, FILTER, invented, month_of, ruleset, stored

from qa_audit import measure

KEYS = [
    *("month", "version", "audited_on", "reports_read", "admitted", "held_back", "rules", "editions", "inputs"),
    *("settings_digest", "key_fingerprint", "versions"),
]


def summary() -> dict[str, object]:
    rows = invented(["2026-02"])
    return measure.summary(month_of(rows, "2026-02"), measure.count(stored(rows)), ruleset(), "s" * 64, "f" * 64)


def test_it_holds_what_the_contract_lists_and_is_plain_json() -> None:
    assert list(json.loads(json.dumps(summary()))) == KEYS


def test_reports_read_are_those_admitted_and_those_held_back() -> None:
    found = summary()
    assert (found["reports_read"], found["admitted"], found["held_back"]) == (41, 40, 1)


def test_a_rules_outcomes_are_reports_and_add_up_to_those_it_was_asked_of() -> None:
    rows = invented(["2026-02"])
    rules = summary()["rules"]
    assert isinstance(rules, dict)
    for rule in (ATTEMPTS, FILTER):
        assert sum(rules[rule].values()) == len({row["report"] for row in rows if row["rule"] == rule})


def test_each_edition_that_decided_is_named_with_its_digest() -> None:
    editions = summary()["editions"]
    assert isinstance(editions, list)
    assert [each["date"] for each in editions] == ["2020-01-01", "2026-02-17"]
    assert {each["digest"] for each in editions} == {edition.digest for edition in ruleset().editions}
