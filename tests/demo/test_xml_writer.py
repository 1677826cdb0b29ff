"""How a case is written: what is empty says why, what was refused keeps its code, times keep their offset."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from lxml import etree

from qa_audit.demo import complaints
from qa_audit.demo.call import Call
from qa_audit.demo.case import Case
from qa_audit.demo.service import AGENCY, FILTER, OXYGEN_OFF, local
from qa_audit.demo.vocabulary import VIDEO_LARYNGOSCOPE, Act, Drug, Negative, Route, Unit, Wear
from qa_audit.demo.xml_elements import NIL
from qa_audit.demo.xml_writer import document


def call() -> Call:
    return Call("a test", "Ostrel 1", local(2026, 1, 9, 10), complaints.HEART_FAILURE)


def found(case: Case, name: str, version: str = "3.5.1") -> list[etree._Element]:
    return etree.fromstring(document(AGENCY, [case], version)).findall(f".//{{*}}{name}")


def test_a_reading_that_was_not_recorded_and_one_that_could_not_be_had_look_different() -> None:
    charted = call()
    charted.reads({0: None, 5: Negative.UNABLE, 10: 95})
    none, unable, read = found(charted.case(), "eVitals.12")
    assert (none.get(NIL), none.get("NV"), none.text) == ("true", "7701003", None)
    assert (unable.get(NIL), unable.get("PN"), unable.text) == ("true", "8801023", None)
    assert (read.get(NIL), read.text) == (None, "95")


def test_a_refused_procedure_keeps_its_code_beside_the_reason() -> None:
    charted = call()
    charted.does(4, Act.CPAP, negative=Negative.REFUSED)
    (procedure,) = found(charted.case(), "eProcedures.03")
    assert (procedure.text, procedure.get("PN"), procedure.get(NIL)) == ("47545007", "8801019", None)


def test_a_section_without_an_entry_is_one_empty_group() -> None:
    for name in ("eVitals.01", "eMedications.03", "eProcedures.03"):
        (element,) = found(call().case(), name)
        assert (element.get(NIL), element.get("NV")) == ("true", "7701001")


def test_times_have_the_offset_of_the_zone_or_of_a_tablet_that_was_set_to_another() -> None:
    local_times = found(call().case(), "eTimes.03")
    in_utc = found(replace(call().case(), written_at_offset=timedelta()), "eTimes.03")
    assert [element.text for element in local_times] == ["2026-01-09T09:40:00-06:00"]
    assert [element.text for element in in_utc] == ["2026-01-09T15:40:00+00:00"]


def test_an_own_result_is_tied_to_the_group_it_speaks_of_and_defined_in_the_same_file() -> None:
    charted = call()
    charted.does(0, Act.BAG_VALVE_MASK, tie="bag-1")
    charted.filter_charted("bag-1")
    case = charted.case()
    assert [group.get("CorrelationID") for group in found(case, "eProcedures.ProcedureGroup")] == ["bag-1"]
    assert [tie.text for tie in found(case, "eCustomResults.03")] == ["bag-1"]
    defined = {group.get("CustomElementID") for group in found(case, "eCustomConfiguration.CustomGroup")}
    assert defined == {FILTER, OXYGEN_OFF}


def test_the_technique_is_left_out_of_a_file_of_3_5_0() -> None:
    charted = call()
    charted.does(6, Act.TUBE, technique=VIDEO_LARYNGOSCOPE)
    assert len(found(charted.case(), "eProcedures.14")) == 1
    assert found(charted.case(), "eProcedures.14", version="3.5.0") == []


def test_a_list_that_names_nobody_has_no_id() -> None:
    charted = call()
    charted.wears(None, Wear.GLOVES)
    charted.wears(charted.lead, Wear.RESPIRATOR)
    assert [element.text for element in found(charted.case(), "eOther.04")] == [charted.lead.id]


def test_oxygen_keeps_its_device_flow_and_performer() -> None:
    charted = call()
    charted.gives(0, Drug.OXYGEN, Route.NON_REBREATHER, ("15", Unit.LITRES_PER_MINUTE))
    texts = [found(charted.case(), f"eMedications.{place:02}")[0].text for place in (3, 4, 5, 6, 9, 10)]
    assert texts == ["7806", "9927031", "15", "3706035", charted.lead.id, charted.lead.level.as_performer]
