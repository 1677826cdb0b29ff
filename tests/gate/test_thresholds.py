from __future__ import annotations

from collections.abc import Callable

import pytest
from gate.building import oxygen, report

from qa_audit.errors import SettingsError
from qa_audit.gate.thresholds import thresholds
from qa_audit.settings import GateSettings, Settings


def own(**values: float) -> Settings:
    return Settings(gate=GateSettings(thresholds=values))


def test_an_agency_moves_one_threshold_and_keeps_the_others() -> None:
    assert thresholds(own(cannula_flow_highest=8)) == {**thresholds(Settings()), "cannula_flow_highest": 8}


def test_a_threshold_that_no_check_uses_is_named_with_the_nearest_one() -> None:
    with pytest.raises(
        SettingsError, match=r"'canula_flow_highest' is no threshold.*Did you mean 'cannula_flow_highest'"
    ):
        thresholds(own(canula_flow_highest=8))


def test_all_unknown_thresholds_are_named_at_once() -> None:
    with pytest.raises(SettingsError, match=r"(?s)'one'.*'two'"):
        thresholds(own(one=1, two=2))


def test_the_agencys_threshold_decides(failed: Callable[..., dict[str, list[int]]]) -> None:
    at_seven = report(*oxygen(7, "cannula"))

    assert "cannula_flow_plausible" in failed(at_seven)
    assert "cannula_flow_plausible" not in failed(at_seven, settings=own(cannula_flow_highest=7))
