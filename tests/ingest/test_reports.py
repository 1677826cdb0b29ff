"""Reports and members: one row for each, and what null means."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from ingest.building import (
    KEY,
    NOTIFIED,
    at,
    crew,
    document,
    equipment,
    header,
    nil,
    read_report,
    read_text,
    report,
    tag,
    uuid_of,
)

from qa_audit.settings import Settings

NO, YES = "9923001", "9923003"


def test_a_report_has_its_ids_as_pseudonyms_only() -> None:
    read = read_report(eResponse=tag("eResponse.03", "I-900") + tag("eResponse.14", "Unit 7"))
    row = read.reports.row(0, named=True)
    assert row["report_id"] == KEY.pseudonym("R", uuid_of("one"))
    assert (row["agency"], row["ems_unit"]) == (KEY.pseudonym("A", "12"), KEY.pseudonym("U", "unit 7"))
    assert row["incident"] == KEY.pseudonym("I", "i-900")


def test_a_uuid_is_the_same_in_any_case() -> None:
    text = document(header(report("one"), report("one").replace(uuid_of("one"), uuid_of("one").upper())))
    assert read_text(text).reports["report_id"].n_unique() == 1


def test_milestones_are_read_and_care_is_handed_over_at_eight_or_else_at_twelve() -> None:
    times = tag("eTimes.03", NOTIFIED) + tag("eTimes.12", at("11:20"))
    late = read_report(eTimes=times).reports["transfer_of_care"].item()
    assert late == datetime(2026, 1, 10, 17, 20, tzinfo=UTC)
    early = read_report(eTimes=times + tag("eTimes.08", at("11:05"))).reports["transfer_of_care"].item()
    assert early == datetime(2026, 1, 10, 17, 5, tzinfo=UTC)


def test_the_month_is_that_of_the_settings_zone_else_of_the_reports_own_offset() -> None:
    times = tag("eTimes.03", "2026-01-31T23:30:00-06:00")
    own = read_report(eTimes=times).reports.row(0, named=True)
    assert (own["month"], own["local_date"], own["offset_minutes"], own["time_zone"]) == (
        "2026-01",
        date(2026, 1, 31),
        -360,
        None,
    )
    zone = read_report(Settings(time_zone="America/New_York"), eTimes=times).reports.row(0, named=True)
    assert (zone["month"], zone["local_date"], zone["time_zone"]) == ("2026-02", date(2026, 2, 1), "America/New_York")


@pytest.mark.parametrize("times", ["", nil("eTimes.03", "7701003"), tag("eTimes.03", "soon")])
def test_a_report_without_a_notified_time_is_read_and_left_to_the_gate(times: str) -> None:
    read = read_report(eTimes=times)
    assert (read.reports["month"].item(), read.reports["offset_minutes"].item(), read.held_back.height) == (
        None,
        None,
        0,
    )


def test_a_report_without_uuid_is_read_and_left_to_the_gate() -> None:
    read = read_text(document(header(report(None), report("two"))))
    assert read.reports["report_id"].null_count() == 1
    assert read.held_back.height == 0


@pytest.mark.parametrize(
    ("age", "unit", "years"),
    [
        (44, "2516009", 44.0),
        (90, "2516009", 90.0),
        (104, "2516009", 90.0),
        (6, "2516007", 6 * 30 / 365.25),
        (28, "2516001", 28 / 365.25),
        (12, "2516003", 0.5 / 365.25),
        (30, "2516005", 30 / 1440 / 365.25),
        (44, "", None),
    ],
)
def test_age_is_in_years_and_ninety_and_over_are_one_group(age: int, unit: str, years: float | None) -> None:
    group = tag("ePatient.AgeGroup", tag("ePatient.15", age, 'PN="8801029"') + tag("ePatient.16", unit))
    found = read_report(ePatient=group).reports["age_years"].item()
    assert found == (None if years is None else pytest.approx(years, rel=1e-6))


def test_disposition_answers_yes_no_or_not_recorded() -> None:
    said = "".join(
        tag(f"eDisposition.{number}", code) for number, code in ((27, "4227001"), (28, "4228003"), (30, "4230003"))
    )
    row = read_report(eDisposition=said).reports.row(0, named=True)
    assert (row["patient_contact"], row["care_provided"], row["transported"]) == (True, False, True)
    silent = read_report(
        eDisposition=tag("eDisposition.27", "4227007") + nil("eDisposition.28", "7701001")
    ).reports.row(0, named=True)
    assert (silent["patient_contact"], silent["care_provided"], silent["transported"]) == (False, None, None)


def test_members_keep_the_order_of_the_list_with_level_and_roles() -> None:
    read = read_report(eCrew=crew("OS-2", "2403001", "2403003", level="9925005") + crew("OS-1", "2403011"))
    rows = read.members.select("member", "level", "roles").rows()
    assert rows == [
        (KEY.pseudonym("P", "os-2"), "9925005", ["2403001", "2403003"]),
        (KEY.pseudonym("P", "os-1"), "9925007", ["2403011"]),
    ]


def test_an_id_listed_twice_is_one_member_with_all_roles() -> None:
    read = read_report(eCrew=crew("OS-1", "2403011") + crew("os-1 ", "2403013"))
    assert read.members["roles"].to_list() == [["2403011", "2403013"]]


def test_an_entry_without_id_is_a_row_and_an_empty_group_is_none() -> None:
    no_id = nil("eCrew.01", "7701003")
    empty = tag("eCrew.CrewGroup", no_id + nil("eCrew.02", "7701003") + nil("eCrew.03", "7701003"))
    read = read_report(eCrew=crew(no_id, "2403011") + crew(no_id, "2403001") + empty)
    assert read.members["member"].to_list() == [None, None]


def test_members_know_whether_an_equipment_list_names_them_and_of_exposure() -> None:
    lists = equipment(_03="4503003", _04="os-1", _05=NO) + equipment(_04="OS-2", _05=YES) + equipment(_03="4503003")
    read = read_report(eCrew=crew("OS-1") + crew("OS-2") + crew("OS-3"), eOther=lists)
    assert read.members.select("ppe_recorded", "exposure").rows() == [(True, False), (False, True), (False, None)]


@pytest.mark.parametrize(
    ("recipient", "letter", "value"),
    [("ems_unit", "U", "Unit 7"), ("primary", "P", "OS-2"), ("team", "T", None)],
)
def test_a_letter_goes_to_the_vehicle_the_first_caregiver_or_the_team(
    recipient: str, letter: str, value: str | None
) -> None:
    sections = {"eCrew": crew("OS-1", "2403003") + crew("OS-2", "2403013")}
    found = read_report(Settings(recipient=recipient), **sections).reports["recipient"].item()  # type: ignore[arg-type]
    team = ",".join(sorted(KEY.pseudonym("P", member) for member in ("OS-1", "OS-2")))
    assert found == KEY.pseudonym(letter, team if value is None else value)


def test_without_a_caregiver_the_first_member_is_the_recipient_and_without_crew_nobody() -> None:
    settings = Settings(recipient="primary")
    assert read_report(settings, eCrew=crew("OS-1") + crew("OS-2")).reports["recipient"].item() == KEY.pseudonym(
        "P", "OS-1"
    )
    assert read_report(settings).reports["recipient"].item() is None


def test_each_header_gives_its_own_agency_to_its_reports() -> None:
    read = read_text(document(header(report("one"), report("two"), agency="12"), header(report("three"), agency="13")))
    assert read.reports["agency"].to_list() == [KEY.pseudonym("A", each) for each in ("12", "12", "13")]
    assert read.reports["report"].to_list() == [0, 1, 2]
