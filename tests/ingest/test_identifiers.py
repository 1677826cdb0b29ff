"""Identifiers: one action for each element; what names a person refuses its file, or is dropped and counted."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from ingest.building import Read, definition, document, header, nil, read, read_text, report, result, tag, uuid_of

from qa_audit.ingest.identifiers import OWN_NUMBERS, PSEUDONYMISE, REFUSE, SCAN, action
from qa_audit.ingest.standard.elements import ELEMENTS
from qa_audit.settings import Settings

REVIEWED = Path(__file__).parents[3] / "shared" / "reference" / "nemsis" / "identifiers.csv"
CLEAN = report("clean")
ALLOWED_BY_CATEGORY = {
    "(A)": {"refuse", "drop"},  # an employer is dropped, every name refused
    "(B)": {"refuse", "drop"},  # streets, coordinates, facilities refused; city, county, ZIP dropped
    "(C)": {"keep", "drop", "refuse"},  # date-times and ages stay as a limited data set; dates of birth refused
    "(D)": {"refuse"},
    "(F)": {"refuse"},
    "(G)": {"refuse"},
    "(H)": {"refuse"},
    "(I)": {"refuse"},
    "(J)": {"refuse"},
    "(K)": {"refuse", "pseudonymise", "drop"},  # a state alone is dropped; crew ids become pseudonyms
    "(L)": {"pseudonymise", "drop"},
    "(M)": {"refuse"},
    "(P)": {"refuse"},
    "(R)": {"pseudonymise", "drop"},
    "free text": {"scan", "refuse", "drop"},
    "organisation": {"pseudonymise", "drop", "refuse"},
    "state or country": {"drop"},
    "quasi-identifier": {"drop"},
}


def reviewed() -> list[tuple[str, str]]:
    """Return every element of the review with its category."""
    if not REVIEWED.exists():
        return []
    with REVIEWED.open(newline="", encoding="utf-8") as file:
        rows = [(row["element"], row["safe_harbor_category"]) for row in csv.DictReader(file)]
    return [
        (element, category)
        for element, category in rows
        if element[0] in "edP" and " " not in element and "-" not in element
    ]


@pytest.mark.skipif(not REVIEWED.exists(), reason="the review of elements (../shared) is not here")
def test_every_reviewed_element_has_an_action_that_fits_its_category() -> None:
    assert len(reviewed()) > 190
    for element, category in reviewed():
        allowed = next(actions for start, actions in ALLOWED_BY_CATEGORY.items() if category.startswith(start))
        assert action(element) in allowed, (element, category, action(element))


@pytest.mark.skipif(not REVIEWED.exists(), reason="the review of elements (../shared) is not here")
def test_only_dates_ages_and_ids_of_the_review_are_ever_read_into_a_table() -> None:
    for element, category in reviewed():
        if element in ELEMENTS:
            assert action(element) == "pseudonymise" or category.startswith("(C)"), element


def test_no_element_has_two_actions() -> None:
    assert not REFUSE & (SCAN | PSEUDONYMISE | set(ELEMENTS))
    assert not SCAN & (PSEUDONYMISE | set(ELEMENTS))
    assert OWN_NUMBERS <= PSEUDONYMISE


def both_ways(*reports: str) -> tuple[Read, Read]:
    """Read a file as it is and with its identifiers dropped."""
    text = document(header(*reports))
    return read_text(text), read_text(text, de_identify=True)


def test_any_content_of_a_refused_element_refuses_its_file_and_is_dropped_on_request(tmp_path: Path) -> None:
    elements = sorted(REFUSE)
    for element in elements:
        named = report(element, **{element.partition(".")[0]: tag(element, "Invented")})
        (tmp_path / f"{element}.xml").write_text(document(header(named, CLEAN)))
    as_is, dropped = read([tmp_path]), read([tmp_path], de_identify=True)
    assert (as_is.reports.height, as_is.facts.height, as_is.records.height) == (0, 0, 0)
    assert set(as_is.held_back["check"]) == {"identifiers_refused"}
    for element, sentence in zip(elements, as_is.held_back["sentence"].to_list()[::2], strict=True):
        assert f"{element} (1 time)" in sentence
    assert (dropped.reports.height, dropped.held_back.height) == (2 * len(elements), 0)
    assert dropped.remarks.filter(dropped.remarks["remark"] == "identifier_dropped")["element"].to_list() == elements


def test_the_sentence_names_the_element_the_place_and_how_often_and_no_value() -> None:
    one = report("one", ePatient=tag("ePatient.02", "Invented-Surname") + tag("ePatient.18", "206-555-0100") * 2)
    as_is, _ = both_ways(CLEAN, one)
    other, own = as_is.held_back["sentence"].to_list()
    position = as_is.held_back["position"].to_list()[1]
    assert f"byte {position}" in own
    assert "ePatient.18 (2 times), ePatient.02 (1 time)" in own
    assert f"byte {position}" in other
    assert "Invented" not in own + other
    assert "555" not in own + other
    assert as_is.held_back["report_id"].null_count() == 2
    assert as_is.held_back["month"].null_count() == 2


def test_an_empty_or_nil_element_is_no_identifier() -> None:
    one = report("one", ePatient=nil("ePatient.02", "7701003") + "<ePatient.03/>" + tag("ePatient.04", "  "))
    assert both_ways(one)[0].reports.height == 1


def test_the_second_line_of_an_address_counts_although_it_is_an_attribute() -> None:
    one = report("one", eScene=tag("eScene.15", attributes='xsi:nil="true" StreetAddress2="Flat 4"'))
    assert both_ways(one)[0].held_back["check"].to_list() == ["identifiers_refused"]


def test_what_is_dropped_by_the_policy_refuses_nothing() -> None:
    scene = tag("eScene.17", "1442224") + tag("eScene.19", "84739") + tag("eScene.21", "49035")
    assert both_ways(report("one", eScene=scene, ePayment=tag("ePayment.33", "Invented Works")))[0].reports.height == 1


IDENTIFYING_TEXTS = [
    ("Reached wife on 206-555-0100.", "a phone number"),
    ("call back (206) 555-0100", "a phone number"),
    ("his cell is 555 0100", "a phone number"),
    ("+44 20 7946 0000 rang", "a phone number"),
    ("SSN 219-09-9999", "a social security number"),
    ("social security number 219 09 9999", "a social security number"),
    ("write to pat@example.org", "an e-mail address"),
    ("DOB: 3/14/1956", "a date of birth"),
    ("Pt born on March 14, 1956", "a date of birth"),
    ("date of birth 1956-03-14", "a date of birth"),
]


@pytest.mark.parametrize(("text", "what"), IDENTIFYING_TEXTS)
def test_a_structured_identifier_in_a_text_refuses_the_file_or_drops_the_text_whole(text: str, what: str) -> None:
    as_is, dropped = both_ways(report("one", eNarrative=tag("eNarrative.01", text)))
    assert f"eNarrative.01 ({what})" in as_is.held_back["sentence"].item()
    assert text not in as_is.held_back["sentence"].item()
    assert (as_is.narratives.height, dropped.narratives.height, dropped.reports.height) == (0, 0, 1)
    assert ("eNarrative.01", "text_dropped", None) in dropped.noticed()


@pytest.mark.parametrize(
    "text",
    [
        "BP 120/80, then 118-76, pulse 110, RR 18, SpO2 94-98 %",
        "at 10:20:30 on 2026-01-10 given 2.5 mg/3 mL, 0.5-0.083 %",
        "7.5 tube at 22 cm, 8.0 x 1, 18 g in left hand",
        "pH 7.351, glucose 110 - 120 - 1300, 250 300 1000 mL",
        "was born 3 days ago at 38 weeks, cell phone in pocket",
        "dose 500-1000-2000, ICD R06.02, code 450601000124103",
        "Code 3 @ 1015, arrived 1022 on 01/10/2026",
    ],
)
def test_clinical_numbers_are_no_identifiers(text: str) -> None:
    read, _ = both_ways(report("one", eNarrative=tag("eNarrative.01", text)))
    assert read.narratives["text"].to_list() == [text]


def test_a_reports_own_numbers_and_names_are_found_in_its_text_as_whole_words() -> None:
    uuid = uuid_of("one")
    for text in ("see chart PCR-44871", "incident i-2026-77", f"id {uuid.upper()}"):
        one = report(
            "one",
            eRecord=tag("eRecord.01", "PCR-44871"),
            eResponse=tag("eResponse.03", "I-2026-77"),
            eNarrative=tag("eNarrative.01", text),
        )
        assert both_ways(one)[0].held_back["check"].to_list() == ["identifiers_refused"], text


def test_a_dropped_name_takes_the_text_that_repeats_it_along() -> None:
    def narrated(text: str) -> Read:
        named = {"ePatient": tag("ePatient.02", "Ostling"), "eNarrative": tag("eNarrative.01", text)}
        return both_ways(report("one", **named))[1]

    assert narrated("Mr OSTLING was short of breath").narratives.height == 0
    assert narrated("Patient was short of breath").narratives.height == 1
    assert narrated("Ostlingham Road").narratives.height == 1


def test_short_values_are_not_looked_for() -> None:
    one = report("one", eRecord=tag("eRecord.01", "22"), eNarrative=tag("eNarrative.01", "tube at 22 cm"))
    assert both_ways(one)[0].narratives.height == 1


def test_free_text_of_an_agencys_own_element_is_searched_too() -> None:
    one = report("one", eCustomResults=result("svc.note", "mail pat@example.org"))
    read = read_text(document(header(one, custom=definition("svc.note", "9902009"))))
    assert read.held_back["check"].to_list() == ["identifiers_refused"]


def test_settings_may_drop_narratives() -> None:
    text = document(header(report("one", eNarrative=tag("eNarrative.01", "Short of breath."))))
    assert read_text(text).narratives.height == 1
    assert read_text(text, Settings(narrative="drop")).narratives.height == 0


def test_comments_are_never_read() -> None:
    read = read_text(
        document(header(report("one", eNarrative="<!-- pat@example.org --><eNarrative.01>Calm.</eNarrative.01>")))
    )
    assert read.narratives["text"].to_list() == ["Calm."]
