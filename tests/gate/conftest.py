"""The gate as most tests ask it: default settings, every concept, no month."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from gate.building import CONCEPTS, Report, batch

from qa_audit.gate import admit
from qa_audit.settings import Settings

Failed = Callable[..., dict[str, list[int]]]


@pytest.fixture
def failed() -> Failed:
    """Give, for reports in reading order, the failing reports of each check that any of them failed."""

    def ask(*reports: Report, settings: Settings | None = None) -> dict[str, list[int]]:
        table = admit(batch(*reports), settings or Settings(), concepts=CONCEPTS).check_results
        return {row["check"]: row["failed_reports"] for row in table.iter_rows(named=True) if row["failed"]}

    return ask
