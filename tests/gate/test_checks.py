"""Each check of admitted reports: a report that trips it, and one that just does not."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import polars as pl
import pytest
from gate.building import CONCEPTS, NOTIFIED, Report, at, batch, fact, oxygen, report, saturation

from qa_audit.gate import admit
from qa_audit.gate.checks import CHECKS
from qa_audit.gate.checks.remarks import NAMED
from qa_audit.settings import Settings
from qa_audit.tables import DEFINITIONS

Failed = Callable[..., dict[str, list[int]]]
ZONE = Settings(time_zone="America/Chicago")  # six hours behind UTC in January


@dataclass(frozen=True)
class Case:
    trips: Report
    passes: Report


def tube(minutes: float | None = 20, **columns: object) -> dict[str, object]:
    return fact("eProcedures.03=tube", minutes, **{"count": 1, "success": True, "call_group": 7, **columns})


CONFIRMED = fact("eAirway.03=tube", 22, call_group=8)
VITALS = (fact("eVitals.06", value=120.0), fact("eVitals.10", value=80.0))

CASES = {
    "vehicle_recorded": Case(report(ems_unit=None), report()),
    "patient_contact_time_recorded": Case(report(at_patient=None), report(at_patient=None, patient_contact=False)),
    "arrival_time_recorded": Case(report(at_destination=None), report(at_destination=None, transported=False)),
    "hand_over_time_recorded": Case(report(transfer_of_care=None), report(transfer_of_care=None, transported=None)),
    "age_recorded": Case(report(age_years=None), report(age_years=None, care_provided=False)),
    "vital_signs_timed": Case(
        report(saturation(97), fact("eVitals.06", None)), report(fact("eVitals.06", None, by_others=True))
    ),
    "medications_timed": Case(
        report(fact("eMedications.03=other", None, by_others=None)),
        report(fact("eMedications.03=other", None, status="missing")),
    ),
    "procedures_timed": Case(
        report(fact("eProcedures.03=other", None)), report(fact("eProcedures.03=other", None, status="negated"))
    ),
    "saturation_with_oxygen": Case(
        report(*oxygen(4), saturation(97, by_others=True)),
        report(*oxygen(4), saturation(None, status="missing", why="unable")),
    ),
    "oxygen_flow_recorded": Case(report(*oxygen(None), saturation(97)), report(*oxygen(0), saturation(97))),
    "oxygen_flow_has_unit": Case(report(*oxygen(4, unit=None)), report(*oxygen(None, unit=None))),
    "oxygen_device_recorded": Case(
        report(*oxygen(4, None), *oxygen(4, group=2)), report(*oxygen(4), fact("eProcedures.03=mask", call_group=9))
    ),
    "tube_attempts_recorded": Case(report(tube(count=None)), report(tube(count=None, by_others=True))),
    "tube_success_recorded": Case(report(tube(success=None)), report(tube(success=False))),
    "airway_section_with_tube": Case(
        report(fact("eProcedures.03=supraglottic"), fact("eAirway.03", None, status="missing")),
        report(tube(), fact("eAirway.08", None, status="negated")),
    ),
    "crew_listed": Case(report(members=()), report(members=(), subset="national")),
    "crew_entries_have_ids": Case(report(members=("P-LEAD", None)), report(members=("P-LEAD",))),
    "saturations_possible": Case(report(saturation(100.5)), report(saturation(100))),
    "doses_possible": Case(
        report(fact("eMedications.03=other", value=-0.1)), report(fact("eMedications.03=other", value=0.0))
    ),
    "saturation_not_too_low": Case(report(saturation(49), saturation(97)), report(saturation(50), saturation(97))),
    "oxygen_unit_is_flow": Case(report(*oxygen(4, unit="L")), report(*oxygen(4))),
    "oxygen_flow_possible": Case(report(*oxygen(61)), report(*oxygen(60))),
    "cannula_flow_plausible": Case(report(*oxygen(6.5, "cannula")), report(*oxygen(15, "cannula"), tube())),
    "simple_mask_flow_plausible": Case(
        report(*oxygen(4), fact("eProcedures.03=mask", call_group=9)),
        report(*oxygen(5), fact("eProcedures.03=mask", call_group=9)),
    ),
    "non_rebreather_flow_plausible": Case(report(*oxygen(9.5, "reservoir")), report(*oxygen(10, "reservoir"))),
    "attempts_plausible": Case(report(tube(count=6)), report(tube(count=5))),
    "carbon_dioxide_has_unit": Case(
        report(fact("eVitals.16", value=37.0)), report(fact("eVitals.16", value=37.0, unit="mmHg"))
    ),
    "age_in_one_top_group": Case(report(age_years=90.5), report(age_years=90.0)),
    "notified_after_call": Case(report(psap_call=at(0.01)), report(psap_call=at(0))),
    "en_route_after_notified": Case(report(en_route=at(-1)), report(en_route=None)),
    "on_scene_after_en_route": Case(report(on_scene=at(0.5)), report(on_scene=at(1))),
    "left_after_patient_contact": Case(report(left_scene=at(9)), report(left_scene=at(10))),
    "arrived_after_leaving": Case(report(at_destination=at(29)), report(at_destination=at(30))),
    "handed_over_after_arrival": Case(
        report(transfer_of_care=at(44)), report(transfer_of_care=at(44), transported=False)
    ),
    "back_in_service_last": Case(report(back_in_service=at(49)), report(back_in_service=at(50))),
    "call_within_a_day": Case(report(back_in_service=at(24 * 60 + 1)), report(back_in_service=at(24 * 60))),
    "vital_signs_after_notified": Case(report(saturation(97, -2.1)), report(saturation(97, -2))),
    "vital_signs_before_back_in_service": Case(report(saturation(97, 62.1)), report(saturation(97, 62))),
    "treatments_after_notified": Case(
        report(fact("eMedications.03=other", -3)), report(fact("eMedications.03=other", -3, by_others=True))
    ),
    "treatments_before_back_in_service": Case(
        report(fact("eProcedures.03=other", 63)), report(fact("eProcedures.03=other", 63), back_in_service=None)
    ),
    "offset_fits_time_zone": Case(report(offset_minutes=-300), report(offset_minutes=-360)),
    "equipment_members_on_crew_list": Case(
        report(fact("eOther.03=gloves", None, member="P-STRANGER")),
        report(fact("eOther.03=gloves", None, member="P-STRANGER"), members=(None,)),
    ),
    "confirmed_tube_has_procedure": Case(
        report(CONFIRMED, tube(status="negated")), report(CONFIRMED, fact("eProcedures.03=induction", by_others=True))
    ),
    "confirmed_tube_code_known": Case(
        report(CONFIRMED, fact("eProcedures.03=throat", call_group=8)),
        report(CONFIRMED, tube(call_group=8), fact("eProcedures.03=throat", call_group=9)),
    ),
    "groups_not_doubled": Case(
        report(*({**one, "call_group": group} for one in VITALS for group in (1, 2))),
        report(*({**one, "call_group": group, "success": group == 1} for one in VITALS for group in (1, 2))),
    ),
    "entries_not_contradictory": Case(
        report(tube(), tube(status="negated", call_group=9)), report(tube(), tube(21, status="negated", call_group=9))
    ),
    **{check.name: Case(report(remarks=(check.name,)), report()) for check in NAMED},
    "nothing_else_noticed": Case(report(remarks=("something_new",)), report(remarks=("unknown_code",))),
}
ASKED_ELSEWHERE = {"own_elements_defined"}


def test_every_check_has_a_case_and_a_name_of_its_own() -> None:
    assert sorted(check.name for check in CHECKS) == sorted({*CASES, *ASKED_ELSEWHERE})


@pytest.fixture(scope="module")
def answers() -> dict[str, list[int]]:
    """Ask every case at once: report 2n+1 trips the n-th check, report 2n+2 just does not."""
    reports = [one for case in CASES.values() for one in (case.trips, case.passes)]
    for one in reports:
        one.columns.setdefault("offset_minutes", -360)
    table = admit(batch(*reports), ZONE, concepts=CONCEPTS).check_results
    return {row["check"]: row["failed_reports"] for row in table.iter_rows(named=True)}


@pytest.mark.parametrize("check", CASES)
def test_the_check_trips_on_one_report_and_just_not_on_the_other(check: str, answers: dict[str, list[int]]) -> None:
    trips = 2 * list(CASES).index(check) + 1

    assert trips in answers[check]
    assert trips + 1 not in answers[check]


def test_an_own_element_that_its_file_does_not_define_is_told() -> None:
    definitions = DEFINITIONS.frame(
        [{"custom_id": "svc.known", "data_type": "text", "values": []}, {"custom_id": "svc.unknown", "values": []}]
    )
    known = report(fact("custom:svc.known=1", origin="custom"))
    unknown = report(fact("custom:svc.unknown", origin="custom"), fact("custom:svc.known=1", origin="custom"))
    read = batch(known, unknown, report(), definitions=definitions)

    row = result(admit(read, Settings(), concepts=CONCEPTS).check_results, "own_elements_defined")
    assert (row["asked"], row["failed_reports"]) == (2, [2])


def result(table: pl.DataFrame, check: str) -> dict[str, object]:
    return table.row(by_predicate=pl.col("check") == check, named=True)


def test_a_check_without_its_concept_asks_nobody_and_says_so() -> None:
    without = {name: items for name, items in CONCEPTS.items() if name != "oxygen"}
    table = admit(batch(report(*oxygen(4))), Settings(), concepts=without).check_results

    row = result(table, "saturation_with_oxygen")
    assert (row["asked"], row["failed"]) == (0, 0)
    assert str(row["sentence"]).endswith("Not asked: the ruleset has no concept oxygen.")
    assert "Not asked" not in str(result(table, "vital_signs_timed")["sentence"])


def test_a_concept_that_no_report_uses_is_not_missing() -> None:
    unused = {**CONCEPTS, "induction": frozenset[str]()}
    table = admit(batch(report(CONFIRMED)), Settings(), concepts=unused).check_results

    assert result(table, "confirmed_tube_has_procedure")["failed_reports"] == [1]


def test_high_cannula_flow_is_told_but_not_when_another_entry_at_that_moment_carries_it(failed: Failed) -> None:
    both = report(*oxygen(4, "cannula"), *oxygen(15, "reservoir", group=2), saturation(97))

    assert "cannula_flow_plausible" not in failed(both)


def test_a_stop_written_as_a_flow_of_nothing_is_no_low_flow(failed: Failed) -> None:
    assert "non_rebreather_flow_plausible" not in failed(report(*oxygen(0, "reservoir"), saturation(97)))


def test_the_offset_is_not_asked_without_a_time_zone(failed: Failed) -> None:
    assert failed(report(offset_minutes=720)) == {}


def test_the_offset_follows_the_clocks_in_summer(failed: Failed) -> None:
    july = NOTIFIED.replace(month=7)
    summer = {"unit_notified": july, "psap_call": None, "en_route": None, "back_in_service": None}

    assert "offset_fits_time_zone" not in failed(report(**summer, offset_minutes=-300), settings=ZONE)
    assert "offset_fits_time_zone" in failed(report(**summer, offset_minutes=-360), settings=ZONE)


def test_sentences_are_whole_name_their_thresholds_and_carry_a_basis() -> None:
    table = admit(batch(report()), Settings(), concepts=CONCEPTS).check_results

    assert "6 L/min" in str(result(table, "cannula_flow_plausible")["sentence"])
    assert all(text.endswith(".") and "{" not in text for text in table["sentence"])
    assert all(table["basis"].str.len_chars() > 0)
    assert table["check"].is_unique().all()
