from __future__ import annotations

import pytest
from gate.building import CONCEPTS, Report, batch, report

from qa_audit.errors import ExitCode, NothingAdmittedError
from qa_audit.gate import admit, refuse_if_unfit
from qa_audit.settings import GateSettings, Settings


def refuse(*reports: Report, share: float = 0.2, month: str | None = None) -> None:
    settings = Settings(gate=GateSettings(stop_above_share=share))
    refuse_if_unfit(admit(batch(*reports), settings, concepts=CONCEPTS, month=month), settings)


def test_a_share_that_just_reaches_the_limit_is_fit() -> None:
    refuse(report(report_id=None), *[report()] * 4)


def test_a_share_above_the_limit_is_refused_with_its_numbers_and_what_to_do() -> None:
    with pytest.raises(NothingAdmittedError) as refused:
        refuse(report(report_id=None), report(month=None), *[report()] * 7)

    sentence = str(refused.value)
    assert "2 of 9 (22.2%; 1 no_unit_notified, 1 no_uuid)" in sentence
    assert "allowed are 20.0%" in sentence
    assert sentence.endswith("run again.")
    assert refused.value.exit_code == ExitCode.NOTHING_ADMITTED


def test_superseded_other_months_and_other_agencies_do_not_count_toward_the_share() -> None:
    copies = [report(report_id="R-AGAIN")] * 5
    refuse(*copies, report(month="2025-12"), report(agency="A-OTHER"), report(), month="2026-01", share=0)


def test_a_month_in_which_nothing_is_admitted_is_refused_whatever_the_share() -> None:
    with pytest.raises(NothingAdmittedError, match="all 2 reports read were held back \\(2 outside_month\\)"):
        refuse(report(), report(), month="2025-12", share=1)


def test_inputs_without_any_report_are_refused() -> None:
    with pytest.raises(NothingAdmittedError, match="the inputs hold no report"):
        refuse()
