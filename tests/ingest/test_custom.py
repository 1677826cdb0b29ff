"""An agency's own elements: which results become facts, and what each is tied to."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from ingest.building import Read, at, definition, document, equipment, header, procedure, read_text, report, result, tag

from qa_audit.settings import CustomElement, Settings

NO, YES = "9923001", "9923003"
DATE_TIME, NUMBER, TEXT, BOOLEAN = "9902003", "9902005", "9902009", "9902011"
FILTER = definition("svc.filter", TEXT, "1", "0", extends="eProcedures.ProcedureGroup")


def charted(*results: str, custom: str = FILTER, settings: Settings | None = None, **sections: str) -> Read:
    """Read one report with results of the agency's own elements."""
    one = report(eCustomResults="".join(results), **sections)
    return read_text(document(header(one, custom=custom)), settings)


def test_a_declared_value_is_an_item_tied_to_its_procedure() -> None:
    bag = procedure('CorrelationID="c2"', _01=at("10:20"), _02=YES, _03="425447009")
    read = charted(result("svc.filter", "1", tie="c2"), eProcedures=bag)
    fact = read.fact("custom:svc.filter=1")
    assert (fact["origin"], fact["status"], fact["time"]) == ("custom", "present", None)
    assert fact["call_group"] == read.fact("eProcedures.03=425447009")["call_group"]
    assert fact["by_others"] is True


def test_an_untied_result_is_ours_and_stands_alone() -> None:
    fact = charted(result("svc.filter", "0")).fact("custom:svc.filter=0")
    assert (fact["call_group"], fact["by_others"], fact["member"]) == (None, False, None)


def test_a_tie_to_an_element_resolves_to_its_group_and_its_member() -> None:
    worn = equipment(_03=tag("eOther.03", "4503019", 'CorrelationID="o1"'), _04="OS-1")
    read = charted(result("svc.gown", "gown", tie="o1"), custom=definition("svc.gown", TEXT, "gown"), eOther=worn)
    gown, other = read.fact("custom:svc.gown=gown"), read.fact("eOther.03=4503019")
    assert (gown["call_group"], gown["member"]) == (other["call_group"], other["member"])


def test_a_tie_goes_through_a_parent_group_of_the_agencys_own() -> None:
    bag = procedure('CorrelationID="c2"', _03="425447009")
    parent = result("svc.when", at("10:25"), tie="c2", own="g1")
    read = charted(
        parent, result("svc.filter", "1", tie="g1"), custom=FILTER + definition("svc.when", DATE_TIME), eProcedures=bag
    )
    group = read.fact("eProcedures.03=425447009")["call_group"]
    assert read.fact("custom:svc.filter=1")["call_group"] == read.fact("custom:svc.when")["call_group"] == group


@pytest.mark.parametrize("own", ["", "loop"])
def test_a_tie_to_nothing_speaks_for_nothing(own: str) -> None:
    read = charted(result("svc.filter", "1", tie="loop", own=own))
    assert read.count("custom:svc.filter=1") == 0
    assert ("eCustomResults.03", "tie_to_nothing", None) in read.noticed()


def test_a_date_time_is_the_time_of_its_fact() -> None:
    custom = definition("svc.off", DATE_TIME)
    fact = charted(result("svc.off", at("10:40")), custom=custom).fact("custom:svc.off")
    assert (fact["time"], fact["value"]) == (datetime(2026, 1, 10, 16, 40, tzinfo=UTC), None)
    unread = charted(result("svc.off", "2026-01-10T10:40:00"), custom=custom)
    assert (unread.fact("custom:svc.off")["status"], unread.fact("custom:svc.off")["time"]) == ("missing", None)
    assert ("eCustomResults.01", "not_a_time", None) in unread.noticed()


def test_a_number_is_the_value_of_its_fact() -> None:
    custom = definition("svc.people", NUMBER)
    assert charted(result("svc.people", "4"), custom=custom).fact("custom:svc.people")["value"] == 4.0
    unread = charted(result("svc.people", "four"), custom=custom)
    assert unread.fact("custom:svc.people")["why"] == "unknown_code"
    assert ("eCustomResults.01", "not_a_number", None) in unread.noticed()


@pytest.mark.parametrize("word", ["true", "false", "1", "0", YES, NO])
def test_a_yes_or_no_keeps_its_agencys_spelling(word: str) -> None:
    assert (
        charted(result("svc.ready", word), custom=definition("svc.ready", BOOLEAN)).count(f"custom:svc.ready={word}")
        == 1
    )


def test_several_values_of_one_result_are_several_facts() -> None:
    read = charted(result("svc.air", "door", "fan"), custom=definition("svc.air", TEXT, "door", "window", "fan"))
    assert read.count("custom:svc.air=door") == read.count("custom:svc.air=fan") == 1


def test_free_text_is_not_stored_and_an_undeclared_code_is_an_unreadable_entry() -> None:
    free = charted(result("svc.note", "said thanks"), custom=definition("svc.note", TEXT))
    assert [item for item in free.facts["item"] if item.startswith("custom:")] == []
    assert charted(result("svc.filter", "7")).fact("custom:svc.filter")["why"] == "unknown_code"


def test_an_nv_is_no_fact_and_a_pn_is_negated() -> None:
    empty = tag("eCustomResults.01", attributes='xsi:nil="true" NV="7701003"')
    assert [item for item in charted(result("svc.filter", empty)).facts["item"] if item.startswith("custom:")] == []
    refused = tag("eCustomResults.01", attributes='xsi:nil="true" PN="8801019"')
    fact = charted(result("svc.filter", refused)).fact("custom:svc.filter")
    assert (fact["status"], fact["why"]) == ("negated", "refused")


def test_settings_declare_what_the_file_does_not_define() -> None:
    settings = Settings(
        custom_elements={
            "svc.filter": CustomElement(concept="viral_filter", values={"1": "present"}),
            "svc.off": CustomElement(concept="oxygen_stopped", value="time"),
        }
    )
    read = charted(result("svc.filter", "1"), result("svc.off", at("10:40")), custom="", settings=settings)
    assert read.count("custom:svc.filter=1") == 1
    assert read.fact("custom:svc.off")["time"] is not None


def test_definitions_hold_for_their_own_header_alone_and_are_listed() -> None:
    one = header(report("one", eCustomResults=result("svc.filter", "1")), custom=FILTER)
    two = header(report("two", eCustomResults=result("svc.filter", "1") + result("svc.other", "x")))
    read = read_text(document(one, two))
    assert read.facts.filter(read.facts["item"] == "custom:svc.filter=1")["report"].to_list() == [0]
    assert read.definitions.rows() == [
        ("svc.filter", "eProcedures.ProcedureGroup", "text", ["0", "1"], 2),
        ("svc.other", None, None, [], 1),
    ]
