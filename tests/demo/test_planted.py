"""The planted table: every case that the invented service promises is there, judged by hand or said to wait."""

from __future__ import annotations

from collections import Counter
from uuid import UUID

import pytest

from qa_audit.demo import planted, samples
from qa_audit.demo.planted.row import RULES
from qa_audit.demo.pseudonyms import KEY, pseudonym
from qa_audit.ingest import Key

JUDGED = (
    "two readings of 97 on a cannula",
    "99-100 for 19 min at 15 L/min",
    "the same stepped down in 4 min",
    "chronic obstructive disease at 91",
    "carbon monoxide at 100",
    "a nebulizer raising to 99",
    "an 8-minute transport",
    "surgical masks only at a supraglottic",
    "gloves alone",
    "a driver during an aerosol procedure in transport",
    "equipment charted once by the lead",
    "induction 10:05 and tube 10:11",
    "a partner's double entry",
    "a dislodged tube",
    "CPAP without a filter",
    "a filter charted six minutes after the bag",
    "a call across the changeover hour",
)
WAITING = (
    "a student at the tube",
    "a nebulizer finished at open doors",
    "epinephrine for anaphylaxis",
    "a face mask before the shortage",
    "a face mask during the shortage",
    "a face mask after the shortage",
    "a slow drift in over-oxygenation",
    "two vehicles without video",
    "charting that improves while care stays flat",
    "a crew that only looks bad by chance",
)
"""What the design of the invented service lists, in its order; the phone number has a test of its own."""


def named(name: str) -> planted.Planted:
    return next(case for case in planted.cases() if case.name == name)


@pytest.mark.parametrize("name", JUDGED)
def test_a_promised_case_stands_in_a_month_and_is_judged_today(name: str) -> None:
    case = named(name)
    assert case.month in samples.MONTHS
    assert [row for row in case.rows if row.waits_for is None]


@pytest.mark.parametrize("name", WAITING)
def test_a_case_whose_rule_does_not_exist_yet_names_what_it_waits_for(name: str) -> None:
    assert [row for row in named(name).rows if row.waits_for]


def test_rows_wait_exactly_when_their_rule_or_their_call_does_not_exist() -> None:
    for case in planted.cases():
        for row in case.rows:
            assert bool(row.waits_for) == (row.rule not in RULES or case.case is None), (case.name, row.rule)


def test_every_row_shows_its_working_in_one_line() -> None:
    for case in planted.cases():
        for row in case.rows:
            assert row.working.strip()
            assert "\n" not in row.working


def test_names_and_reports_are_unique() -> None:
    names = [case.name for case in planted.cases()]
    assert len(set(names)) == len(names)
    uuids = {case.case.uuid for case in planted.cases() if case.case}
    assert len(uuids) == sum(case.case is not None for case in planted.cases())


def test_every_planted_call_stands_in_exactly_one_sample_file() -> None:
    written = Counter(case.uuid for file in samples.files(1) for case in file.cases)
    assert {written[case.case.uuid] for case in planted.cases() if case.case} == {1}


def test_the_expected_table_answers_every_rule_for_every_planted_call() -> None:
    answered: dict[str, set[str]] = {}
    for one in planted.expected():
        answered.setdefault(one.name, set()).add(one.rule)
    assert set(answered) == {case.name for case in planted.cases() if case.case}
    assert all(rules == set(RULES) for rules in answered.values())


def test_a_rule_that_finds_no_opportunity_has_one_row_alone() -> None:
    outcomes: dict[tuple[str, str], list[str | None]] = {}
    for one in planted.expected():
        outcomes.setdefault((one.name, one.rule), []).append(one.outcome)
    assert all(found == [None] for found in outcomes.values() if None in found)


def test_the_table_holds_every_outcome_and_most_reasons() -> None:
    found = {one.outcome for one in planted.expected()} - {None}
    assert found == {"met", "not_met", "cannot_tell", "excluded"}
    reasons = {one.reason for one in planted.expected()} - {None}
    assert reasons >= {
        "not_documented",
        "time_missing",
        "therapy_end_unknown",
        "list_incomplete",
        "chart_conflict",
        "carbon_monoxide",
        "exempt",
        "too_short_to_judge",
        "reading_unobtainable",
        "not_present",
    }


def test_the_pseudonyms_are_those_that_reading_the_files_makes() -> None:
    key = Key(KEY.encode())
    one = planted.expected()[0]
    assert one.report_id == key.pseudonym("R", one.uuid) == pseudonym("R", one.uuid.upper())
    assert UUID(one.uuid).version == 5
    members = {row.member for row in planted.expected() if row.member}
    people = [case.case for case in planted.cases() if case.case]
    assert members <= {key.pseudonym("P", member.id) for case in people for member in case.crew}
