"""The oracle on dated editions: clinical note section 8, points E-01 to E-09, and the changeover-day contract."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from oracle.charts import INFECTION, ask, chart, custom, moment, oxygen, procedure, said, spo2, worn
from oracle.first_edition import FILTER, FIRST, OXYGEN, RESPIRATOR
from oracle.judge import roll_up
from oracle.model import Determination, Edition, Fact, Member

NOON = datetime(2026, 1, 20, 10, 10)  # noqa: DTZ001 -- a local wall-clock time, by its nature


def lower_ceiling(edition: Edition) -> dict[str, Any]:
    bands = [{**band, "ceiling": 94} if band.get("ceiling") == 96 else band for band in edition.rules[OXYGEN]["bands"]]
    return {**edition.rules, OXYGEN: {**edition.rules[OXYGEN], "bands": bands}}


OLD = replace(FIRST, until_local=NOON)
NEW = replace(FIRST, date="2026-01-20", from_local=NOON, rules=lower_ceiling(FIRST))


def charted(start: str, value: int = 96) -> Any:
    first = moment(start)
    readings = [replace(spo2("10:00", value), time=first + minutes * 60_000) for minutes in (6, 12, 20)]
    return chart(INFECTION, oxygen(start, 15, "mask"), *readings, at_destination=first + 26 * 60_000)


def decided(report: Any, *editions: Edition) -> tuple[Any, ...]:
    (row,) = ask(report, OXYGEN, editions=list(editions))
    return row.outcome, row.reason, row.edition, row.kinder_of


def test_e01_a_date_after_the_last_edition_has_no_edition() -> None:
    assert decided(charted("10:10"), OLD) == ("cannot_tell", "no_edition", None, None)


def test_e01_the_boundary_belongs_to_the_new_edition() -> None:
    report = replace(charted("10:10"), unit_notified=moment("10:10"))
    assert decided(report, OLD, NEW) == ("not_met", None, NEW.label, None)


def test_e04_an_act_between_issue_and_effect_is_judged_by_the_old() -> None:
    issued_early = replace(NEW, made_known=datetime(2026, 1, 1))  # noqa: DTZ001 -- local wall-clock time
    report = replace(charted("9:40"), unit_notified=moment("9:30"))
    assert decided(report, OLD, issued_early)[:3] == ("met", None, OLD.label)


def test_e03_in_a_transition_the_kinder_of_both_counts() -> None:
    window = replace(NEW, transition_until=NOON + timedelta(days=2))
    report = replace(charted("10:20"), unit_notified=moment("10:15"))
    assert decided(report, OLD, window) == ("met", None, OLD.label, NEW.label)
    assert decided(report, OLD, NEW) == ("not_met", None, NEW.label, None)


def test_an_edition_not_yet_made_known_lets_the_one_before_answer() -> None:
    unknown = replace(NEW, made_known=NOON + timedelta(hours=1))
    report = replace(charted("10:20"), unit_notified=moment("10:15"))
    assert decided(report, OLD, unknown) == ("met", None, OLD.label, NEW.label)


def test_a_call_in_progress_across_the_boundary_is_judged_by_the_kinder() -> None:
    assert decided(charted("10:20"), OLD, NEW) == ("met", None, OLD.label, NEW.label)


def test_one_therapy_across_the_boundary_is_one_opportunity_judged_by_the_kinder() -> None:
    assert decided(charted("10:00"), OLD, NEW) == ("met", None, OLD.label, NEW.label)
    higher = replace(OLD, rules=NEW.rules)
    assert decided(charted("10:00"), higher, replace(NEW, rules=OLD.rules))[:3] == ("met", None, NEW.label)


def test_a_rule_that_the_edition_at_notification_lacks_accuses_nobody() -> None:
    without = replace(OLD, rules={FILTER: OLD.rules[FILTER]})
    assert decided(charted("10:20", 99), without, NEW) == ("cannot_tell", "no_edition", NEW.label, OLD.label)


def test_the_acts_own_edition_decides_whether_the_rule_exists() -> None:
    without = replace(NEW, rules={FILTER: NEW.rules[FILTER]})
    assert ask(charted("10:20", 99), OXYGEN, editions=[OLD, without]) == []


def test_an_act_without_time_on_the_changeover_day_cannot_be_told() -> None:
    report = chart(Fact(0, 1, "eArrest.09=3009013"), custom("svc.filter=0"))
    assert said(report, FILTER, editions=[OLD, NEW]) == ("cannot_tell", "time_missing", None)
    day = timedelta(days=1)
    earlier = replace(OLD, until_local=NOON - day), replace(NEW, from_local=NOON - day)
    assert said(report, FILTER, editions=list(earlier)) == ("not_met", None, None)


def test_e05_a_mask_before_during_and_after_the_shortage() -> None:
    accepted = {**FIRST.rules, RESPIRATOR: {**FIRST.rules[RESPIRATOR], "accepted": ["surgical_mask"]}}
    day = timedelta(days=1)
    base = replace(FIRST, until_local=NOON - day)
    shortage = replace(FIRST, date="2026-01-19", from_local=NOON - day, until_local=NOON + day, rules=accepted)
    after = replace(FIRST, date="2026-01-21", from_local=NOON + day)
    outcomes = []
    for days in (-2, 0, 2):
        shift = days * 86_400_000
        report = chart(procedure("424979004", "10:20"), worn("4503017", "P-A"), crew=[Member("P-A")])
        facts = tuple(replace(one, time=one.time + shift) if one.time else one for one in report.facts)
        at_patient = (report.at_patient or 0) + shift
        report = replace(report, facts=facts, unit_notified=report.unit_notified + shift, at_patient=at_patient)
        outcomes.append(said(report, RESPIRATOR, editions=[base, shortage, after])[0])
    assert outcomes == ["not_met", "met", "not_met"]


def test_e07_neither_run_date_nor_report_date_selects_the_edition() -> None:
    assert decided(charted("9:42"), OLD, NEW)[2] == OLD.label


def test_a_boundary_is_an_instant_of_the_place() -> None:
    local = replace(charted("10:20"), zone="America/Chicago", unit_notified=moment("10:15"))
    assert decided(local, OLD, NEW)[2] == OLD.label
    assert decided(replace(local, zone=60), OLD, NEW)[2] == NEW.label


def test_the_hour_that_comes_twice_in_autumn_changes_no_edition() -> None:
    boundary = datetime(2026, 11, 1)  # noqa: DTZ001 -- local wall-clock time
    old, new = replace(FIRST, until_local=boundary), replace(NEW, from_local=boundary)
    for hour in (6, 7):
        start = round(datetime(2026, 11, 1, hour, 30, tzinfo=UTC).timestamp() * 1000)
        facts = (Fact(0, 1, "eProcedures.03=425447009", start),)
        report = chart(zone="America/Chicago", facts=facts, unit_notified=start, at_patient=start)
        (row,) = ask(report, FILTER, editions=[old, new])
        assert row.edition == new.label


def test_silence_before_crews_were_told_to_chart_it_is_not_assessable() -> None:
    report = chart(procedure("425447009", "10:20"))
    told = replace(FIRST, must_document_from=datetime(2026, 1, 20, 10, 21))  # noqa: DTZ001 -- local wall-clock time
    assert said(report, FILTER, editions=[told])[1] == "not_assessable"
    told = replace(FIRST, must_document_from=datetime(2026, 1, 20, 10, 20))  # noqa: DTZ001 -- local wall-clock time
    assert said(report, FILTER, editions=[told])[1] == "not_documented"


def test_everyone_is_suspected_where_the_edition_says_so() -> None:
    report = chart(oxygen("10:00", 15, "mask"), spo2("10:10", 98), spo2("10:25", 98))
    assert said(report, OXYGEN)[0] == "met"
    assert said(report, OXYGEN, editions=[replace(FIRST, suspected_everyone=True)])[0] == "not_met"


def test_advice_without_consensus_knows_only_met_and_not_documented() -> None:
    rules = {FILTER: {**FIRST.rules[FILTER], "strength": "may"}}
    report = chart(procedure("425447009", "10:20"), custom("svc.filter=0"))
    assert said(report, FILTER, editions=[replace(FIRST, rules=rules)]) == ("cannot_tell", "not_documented", None)


def row(outcome: str, reason: str | None = None) -> Determination:
    return Determination(1, None, FILTER, None, "report", None, outcome, reason, None, None)


@pytest.mark.parametrize(
    ("rows", "rolled"),
    [
        ([row("met"), row("cannot_tell", "no_edition"), row("not_met")], ("not_met", None)),
        (
            [row("met"), row("cannot_tell", "chart_conflict"), row("cannot_tell", "not_documented")],
            ("cannot_tell", "not_documented"),
        ),
        ([row("excluded", "exempt"), row("met")], ("met", None)),
        ([row("excluded", "exempt"), row("excepted", "patient")], ("excepted", "patient")),
        ([row("excluded", "exempt")], ("excluded", "exempt")),
    ],
)
def test_roll_up_takes_the_gravest(rows: list[Determination], rolled: tuple[str, str | None]) -> None:
    assert roll_up(rows) == {(1, FILTER): rolled}
