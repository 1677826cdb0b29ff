"""How great-expectations is used, and the traps measured in it."""

from __future__ import annotations

import socket
from typing import Any

import numpy as np
import polars as pl
import pytest
from gate.building import CONCEPTS, batch, report, saturation

from qa_audit.gate import admit
from qa_audit.gate.check import Between, OneOf, Recorded
from qa_audit.gate.judge import Answer, judge_columns, judge_orders, judge_statements
from qa_audit.settings import Settings

REPORTS = pl.DataFrame({"report": [30, 10, 20, 40], "name": ["a", None, "b", "a"], "size": [1.0, 5.0, None, 5.1]})


def test_columns_are_judged_by_the_librarys_own_expectations() -> None:
    questions = {
        "recorded": Recorded("name"),
        "one_of": OneOf("name", ("a",)),
        "between": Between("size", "low", "high"),
    }

    assert judge_columns(REPORTS, questions, {"low": 1.0, "high": 5.0}) == {
        "recorded": Answer([30, 10, 20, 40], [10]),
        "one_of": Answer([30, 20, 40], [20]),
        "between": Answer([30, 10, 40], [40]),
    }


def test_statements_and_orders_are_told_apart_by_their_check() -> None:
    checks = {"check": ["b", "a", "b", "b"], "report": [3, 1, 2, 1]}
    statements = pl.DataFrame({**checks, "holds": [False, True, True, False]})
    orders = pl.DataFrame({**checks, "greater": [1.0, 2.0, 2.0, 3.0], "lesser": [2.0, 2.0, 1.0, 4.0]})

    expected = {"a": Answer([1], []), "b": Answer([1, 2, 3], [1, 3])}
    assert judge_statements(statements) == expected
    assert judge_orders(orders) == expected


def test_instants_a_millisecond_apart_are_told_apart() -> None:
    now = 1_767_225_600_000.0
    orders = pl.DataFrame({"check": ["a", "a"], "report": [1, 2], "greater": [now, now], "lesser": [now, now + 1]})

    assert judge_orders(orders) == {"a": Answer([1, 2], [2])}


def test_nothing_to_ask_is_no_answer_and_no_error() -> None:
    assert judge_columns(REPORTS.clear(), {"recorded": Recorded("name")}, {}) == {}
    assert judge_statements(pl.DataFrame(schema={"check": pl.String, "report": pl.UInt32, "holds": pl.Boolean})) == {}
    assert judge_orders(pl.DataFrame(schema={"check": pl.String, "report": pl.UInt32})) == {}


def test_an_expectation_that_raises_is_our_bug_and_not_a_failed_report() -> None:
    with pytest.raises(RuntimeError, match="'between' could not be judged"):
        judge_columns(REPORTS, {"between": Between("name", "low", "high")}, {"low": 0.0, "high": 1.0})


def test_when_nearly_every_row_fails_every_row_is_still_named() -> None:
    random = np.random.default_rng(1)
    holds = random.random(60_000) > 0.9
    statements = pl.DataFrame({"check": "a", "report": np.arange(60_000, dtype=np.uint32), "holds": holds})

    assert judge_statements(statements)["a"] == Answer(list(range(60_000)), np.flatnonzero(~holds).tolist())


def test_judging_writes_nothing_and_opens_no_connection(
    capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: Any) -> None:
        raise AssertionError("a connection was opened")

    monkeypatch.setattr(socket.socket, "connect", refuse)
    monkeypatch.setattr(socket, "getaddrinfo", refuse)
    admit(batch(report(saturation(40)), report(report_id=None)), Settings(), concepts=CONCEPTS)

    assert capfd.readouterr() == ("", "")
