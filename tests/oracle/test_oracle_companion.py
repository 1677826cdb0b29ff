"""The oracle on equipment lists and filters."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from oracle.charts import CUSTOM, ask, chart, custom, moment, oxygen, procedure, said, worn
from oracle.first_edition import FILTER, FIRST, RESPIRATOR
from oracle.model import Fact, Member, Settings

N95, SURGICAL, LEVEL_C, OTHER, GLOVES = "4503015", "4503017", "4503011", "4503019", "4503003"
SUPRAGLOTTIC = procedure("424979004", "10:05", success=True, count=1)
CREW = [Member("P-A"), Member("P-B")]
DRIVER = Member("P-A", roles=("2403003",))


def members(*facts: Any, settings: Settings = CUSTOM, **more: Any) -> dict[str | None, tuple[str, str | None]]:
    more.setdefault("crew", CREW)
    return {row.member: (row.outcome, row.reason) for row in ask(chart(*facts, **more), RESPIRATOR, settings)}


@pytest.mark.parametrize(
    ("codes", "expected"),
    [
        ([N95], ("met", None)),
        (["4503021"], ("met", None)),
        (["4503007"], ("met", None)),
        ([SURGICAL, N95], ("met", None)),
        ([SURGICAL, GLOVES], ("not_met", None)),
        ([SURGICAL, OTHER], ("cannot_tell", "list_incomplete")),
        ([GLOVES], ("cannot_tell", "list_incomplete")),
        ([LEVEL_C], ("cannot_tell", "list_incomplete")),
    ],
)
def test_a_members_own_list(codes: list[str], expected: tuple[Any, ...]) -> None:
    answer = members(SUPRAGLOTTIC, *(worn(code, "P-A") for code in codes))
    assert answer == {"P-A": expected, "P-B": ("cannot_tell", "not_documented")}


def test_an_item_that_cannot_be_read_leaves_the_list_open() -> None:
    unreadable = replace(worn(SURGICAL, "P-A"), item="eOther.03", status="missing", why="unknown_code")
    assert members(SUPRAGLOTTIC, worn(SURGICAL, "P-A"), unreadable)["P-A"] == ("cannot_tell", "list_incomplete")


def test_an_unmapped_value_on_the_list_leaves_it_open() -> None:
    own_field = custom("svc.face=7", member="P-A", call_group=700)
    assert members(SUPRAGLOTTIC, worn(SURGICAL, "P-A"), own_field)["P-A"] == ("cannot_tell", "list_incomplete")


def test_a_respirator_charted_as_not_worn_is_not_met() -> None:
    own_field = custom("svc.face=0", member="P-A", call_group=700)
    assert members(SUPRAGLOTTIC, worn(GLOVES, "P-A"), own_field)["P-A"] == ("not_met", None)


@pytest.mark.parametrize(
    ("code", "expected"), [(GLOVES, ("not_met", None)), (OTHER, ("cannot_tell", "list_incomplete"))]
)
def test_complete_lists_turn_silence_about_the_face_into_not_met(code: str, expected: tuple[Any, ...]) -> None:
    complete = replace(CUSTOM, lists_complete_from=date(2026, 1, 20))
    assert members(SUPRAGLOTTIC, worn(code, "P-A"), settings=complete)["P-A"] == expected


@pytest.mark.parametrize(("code", "expected"), [(N95, ("met", None)), (SURGICAL, ("cannot_tell", "not_documented"))])
def test_the_only_list_without_a_name_speaks_for_all_only_when_it_satisfies(code: str, expected: Any) -> None:
    assert members(SUPRAGLOTTIC, worn(code)) == {"P-A": expected, "P-B": expected}


def test_a_list_without_a_name_beside_another_speaks_for_nobody() -> None:
    answer = members(SUPRAGLOTTIC, worn(N95), worn(N95, "P-A", group=701))
    assert answer == {"P-A": ("met", None), "P-B": ("cannot_tell", "not_documented")}


def test_by_setting_one_list_speaks_for_the_crew_and_an_own_list_goes_first() -> None:
    crew = replace(CUSTOM, crew_list_from=date(2026, 1, 1))
    answer = members(SUPRAGLOTTIC, worn(N95, "P-A"), settings=crew)
    assert answer == {"P-A": ("met", None), "P-B": ("met", None)}
    answer = members(SUPRAGLOTTIC, worn(N95, "P-A"), worn(SURGICAL, "P-B", group=701), settings=crew)
    assert answer["P-B"] == ("not_met", None)


def test_without_a_crew_list_the_lists_name_the_members() -> None:
    nameless = [Member(None)]
    assert members(SUPRAGLOTTIC, worn(N95, "P-Z"), crew=nameless) == {"P-Z": ("met", None)}
    assert members(SUPRAGLOTTIC, crew=nameless) == {None: ("cannot_tell", "not_documented")}


@pytest.mark.parametrize(
    ("clock", "driver", "expected"),
    [
        ("10:20", DRIVER, ("excluded", "not_present")),
        ("10:40", DRIVER, ("excluded", "not_present")),
        ("10:19", DRIVER, ("not_met", None)),
        (None, DRIVER, ("not_met", None)),
        ("10:25", Member("P-A", roles=("2403003", "2403013")), ("not_met", None)),
    ],
)
def test_who_only_drove_in_transport_was_not_present(clock: str | None, driver: Member, expected: Any) -> None:
    facts = [procedure("56251003", clock), worn(SURGICAL, "P-A")]
    assert members(*facts, crew=[driver]) == {"P-A": expected}


@pytest.mark.parametrize(
    ("fact", "opens"),
    [
        (procedure("425447009", "10:05"), True),
        (procedure("232674004", "10:05", success=False), True),
        (procedure("232674004", "10:05", status="negated"), False),
        (procedure("232674004", "10:05", by_others=True), False),
        (procedure("232674004", "10:05", by_others=None), False),
        (procedure("225718003", "10:05"), False),
        (procedure("385857005", "10:05"), False),
        (Fact(0, 1, "eVitals.15=3315005", moment("10:05")), False),
        (Fact(0, 1, "eArrest.03=3003005"), True),
        (Fact(0, 1, "eArrest.09=3009013"), True),
        (Fact(0, 1, "eArrest.09=3009027"), False),
        (Fact(0, 1, "eArrest.01=3001003"), False),
        (Fact(0, 1, "eMedications.04=9927071", moment("10:05")), True),
        (Fact(0, 1, "eMedications.04=9927005", moment("10:05")), False),
        (Fact(0, 1, "eVitals.22=3322009", moment("10:05")), False),
        (Fact(0, 1, "eAirway.03=4003003", moment("10:05")), False),
    ],
)
def test_what_opens_an_opportunity_for_members(fact: Fact, opens: bool) -> None:
    assert bool(members(fact)) is opens


def test_a_closed_circuit_counts_once_this_crew_placed_an_airway_or_bagged() -> None:
    state = Fact(0, 1, "eVitals.15=3315005", moment("10:01"))
    failed = procedure("232674004", "10:12", success=False)
    rows = ask(chart(state, replace(state, time=moment("10:30")), failed, crew=CREW), RESPIRATOR)
    assert {row.time for row in rows} == {moment("10:01")}


def test_shortage_edition_accepts_a_surgical_mask() -> None:
    """Clinical note E-05: the same record at three dates."""
    rules = {RESPIRATOR: {**FIRST.rules[RESPIRATOR], "accepted": ["surgical_mask"]}}
    report = chart(SUPRAGLOTTIC, worn(SURGICAL, "P-A"), crew=CREW[:1])
    assert said(report, RESPIRATOR, editions=[replace(FIRST, rules=rules)])[0] == "met"
    assert said(report, RESPIRATOR)[0] == "not_met"


def test_respirator_also_by_setting() -> None:
    also = replace(CUSTOM, respirator_also=("level_c",))
    assert members(SUPRAGLOTTIC, worn(LEVEL_C, "P-A"), settings=also)["P-A"] == ("met", None)


def test_equipment_cannot_be_judged_in_the_national_subset() -> None:
    assert members(SUPRAGLOTTIC, crew=[], subset="national", settings=Settings()) == {
        None: ("cannot_tell", "not_assessable")
    }


BAG = procedure("425447009", "10:05", call_group=3)


def episodes(*facts: Any, settings: Settings = CUSTOM) -> list[tuple[str, str | None]]:
    return [(row.outcome, row.reason) for row in ask(chart(*facts), FILTER, settings)]


@pytest.mark.parametrize(
    ("fact", "expected"),
    [
        (custom("svc.filter=1", call_group=3), ("met", None)),
        (custom("svc.filter=0", call_group=3), ("not_met", None)),
        (custom("svc.filter=1", call_group=4), ("cannot_tell", "not_documented")),
        (custom("svc.filter=1"), ("met", None)),
        (custom("svc.filter=0"), ("not_met", None)),
        (custom("svc.filter=1", "10:20"), ("met", None)),
        (custom("svc.filter=1", "9:50"), ("met", None)),
        (custom("svc.filter=1", "10:20:01"), ("cannot_tell", "not_documented")),
        (custom("svc.filter=9", call_group=3), ("cannot_tell", "not_documented")),
        (custom("svc.filter", call_group=3, status="negated"), ("not_met", None)),
    ],
)
def test_what_a_filter_entry_says(fact: Fact, expected: tuple[Any, ...]) -> None:
    assert episodes(BAG, fact) == [expected]


def test_any_positive_goes_before_any_negative() -> None:
    assert episodes(BAG, custom("svc.filter=0", call_group=3), custom("svc.filter=1", "10:06")) == [("met", None)]


@pytest.mark.parametrize(("clock", "number"), [("10:20", 1), ("10:20:01", 2)])
def test_fifteen_minutes_still_join(clock: str, number: int) -> None:
    assert len(episodes(BAG, procedure("385857005", clock))) == number


def test_an_untimed_bag_joins_the_earliest_bag_and_no_tube() -> None:
    untimed = Fact(0, 1, "eArrest.09=3009013")
    assert len(episodes(BAG, procedure("425447009", "10:45"), untimed)) == 2
    rows = ask(chart(procedure("424979004", "10:05"), untimed), FILTER)
    assert [row.opportunity for row in rows] == [
        "positive_pressure@2026-01-20T10:05:00Z#1",
        "positive_pressure@untimed#2",
    ]


def test_an_untimed_advanced_airway_joins_a_placement() -> None:
    untimed = Fact(0, 1, "eArrest.09=3009025")
    assert len(episodes(procedure("424979004", "10:05"), untimed)) == 1


@pytest.mark.parametrize(
    "fact",
    [
        procedure("424979004", "10:05", success=False),
        procedure("241689008", "10:05", success=False),
        procedure("47545007", "10:05"),
        procedure("45851008", "10:05"),
        procedure("56251003", "10:05"),
        Fact(0, 1, "eVitals.15=3315005", moment("10:05")),
        Fact(0, 1, "eArrest.09=3009027"),
        procedure("425447009", "10:05", by_others=None),
        *oxygen("10:05", 10, "cpap"),
    ],
)
def test_what_opens_no_filter_episode(fact: Fact) -> None:
    assert episodes(fact) == []


def test_cpap_counts_from_the_date_in_the_settings() -> None:
    since = replace(CUSTOM, filter_on_cpap_from=date(2026, 1, 20))
    assert len(episodes(procedure("47545007", "10:05"), settings=since)) == 1


def test_a_bag_present_and_negated_at_once_bridges_nothing() -> None:
    conflict = [procedure("425447009", "10:15"), procedure("425447009", "10:15", status="negated")]
    assert episodes(BAG, *conflict, procedure("425447009", "10:25")) == [("cannot_tell", "not_documented")] * 2
    assert episodes(*conflict) == [("cannot_tell", "chart_conflict")]


def test_without_a_field_of_its_own_an_agency_is_not_assessable() -> None:
    assert episodes(BAG, settings=Settings()) == [("cannot_tell", "not_assessable")]
