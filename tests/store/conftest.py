"""Stores for the store's tests: real files, a real catalogue."""

from __future__ import annotations

from pathlib import Path

import pytest
from store.invented import FIRST_RUN, a_month

from qa_audit.store import Store


@pytest.fixture
def out(tmp_path: Path) -> Path:
    """An output folder in which nothing has been stored."""
    return tmp_path / "output"


@pytest.fixture
def filled(out: Path) -> Path:
    """An output folder whose store holds January and February 2026."""
    with Store.open(out) as store:
        store.save([a_month("2026-01"), a_month("2026-02")], FIRST_RUN)
    return out
