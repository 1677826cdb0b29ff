"""The oracle on intubation attempts."""

from __future__ import annotations

from typing import Any

import pytest

from oracle.charts import ask, chart, custom, procedure, said
from oracle.first_edition import ATTEMPTS
from oracle.model import Fact

ORAL, BOUGIE, INDUCTION = "232674004", "450601000124103", "241689008"
CAME_OUT = Fact(0, 1, "eAirway.08=4008021")
FAILED = Fact(0, 1, "eAirway.08=4008011")


def row(clock: str | None, count: int | None = 1, success: bool | None = None, code: str = ORAL, **more: Any) -> Fact:
    return procedure(code, clock, count=count, success=success, **more)


@pytest.mark.parametrize(
    ("rows", "expected"),
    [
        ([row("10:05", 1, True)], ("met", None, 1)),
        ([row("10:05", 2, True)], ("not_met", None, 2)),
        ([row("10:05", None, True)], ("cannot_tell", "not_documented", 1)),
        ([row("10:05", 1, False), row("10:11", 1, True)], ("not_met", None, 2)),
        ([row("10:05", 1, False), row("10:06", 2, True)], ("not_met", None, 2)),
        ([row("10:05", 1, False), row("10:06", 2, False), row("10:07", 3, True)], ("not_met", None, 3)),
        ([row("10:05", 2, False), row("10:15", 1, True)], ("not_met", None, 3)),
        ([row("10:05", 1, True), row("10:07", 1, True)], ("cannot_tell", "chart_conflict", 1)),
        ([row("10:05", None, None), row("10:06", None, None)], ("cannot_tell", "chart_conflict", 1)),
        ([row(None, 1, False, member="P-A"), row(None, 1, False, member="P-B")], ("cannot_tell", "chart_conflict", 1)),
        ([row("10:05", 1, None, BOUGIE), row("10:06", None, True)], ("cannot_tell", "not_documented", 1)),
        (
            [row("10:05", 1, status="negated"), Fact(0, 1, "eAirway.03=4003003")],
            ("cannot_tell", "not_documented", None),
        ),
        ([row("10:05", 1, False), row("10:06", 1, True)], ("not_met", None, 2)),
        (
            [row("10:05", 1, False, member="P-A"), row("10:06", 1, True, member="P-B")],
            ("cannot_tell", "chart_conflict", 1),
        ),
        ([row("10:05", 1, False), row("10:07:01", 1, False)], ("not_met", None, 2)),
        ([row("10:05", 1, True), row("10:25", 2, False)], ("cannot_tell", "chart_conflict", 1)),
        ([row("10:05", 1, True), row("10:25", 1, True), CAME_OUT], ("met", None, 1)),
        ([row("10:05", 1, True), row("10:25", 2, True), CAME_OUT], ("not_met", None, 2)),
        ([row("10:05", 1, True), row("10:25", 1, True), custom("svc.tubeOut=1")], ("met", None, 1)),
        ([row("10:05", 1, None, BOUGIE), row("10:06", 1, True)], ("met", None, 1)),
        ([row("10:05", 1, False, BOUGIE), row("10:06", 1, True)], ("not_met", None, 2)),
        ([row("10:05", None, None, BOUGIE), row("10:06", 2, True)], ("not_met", None, 2)),
        ([row("10:05", 1, True), FAILED], ("cannot_tell", "chart_conflict", 1)),
        ([row("10:05", 1, False), FAILED], ("met", None, 1)),
        ([row("10:05", 2, True, INDUCTION), row("10:11", 1, True)], ("met", None, 1)),
        ([row("10:05", 2, True, INDUCTION)], ("not_met", None, 2)),
        (
            [row("10:11", 1), row("10:11", 1, status="negated"), row("10:05", 2, True, INDUCTION)],
            ("not_met", None, 2),
        ),
        ([row("10:11", 1), row("10:11", 1, status="negated")], ("cannot_tell", "chart_conflict", None)),
        ([Fact(0, 1, "eAirway.03=4003003")], ("cannot_tell", "not_documented", None)),
    ],
)
def test_how_many_attempts_a_chart_holds(rows: list[Fact], expected: tuple[Any, ...]) -> None:
    assert said(chart(*rows), ATTEMPTS) == expected


@pytest.mark.parametrize(
    "facts",
    [
        [procedure("225718003", "10:05")],
        [procedure("424979004", "10:05", count=3)],
        [row("10:05", 3, status="negated")],
        [row("10:05", 3, by_others=True)],
        [row("10:05", 3, by_others=None)],
        [Fact(0, 1, "eAirway.03=4003003"), row("10:05", 1, by_others=True)],
    ],
)
def test_what_is_no_attempt_of_this_crew(facts: list[Fact]) -> None:
    assert ask(chart(*facts), ATTEMPTS) == []


@pytest.mark.parametrize(("service", "rows"), [("2205001", 1), ("2205005", 0), ("2205019", 0)])
def test_a_confirmed_tube_on_a_transfer_asks_nothing(service: str, rows: int) -> None:
    report = chart(Fact(0, 1, "eAirway.03=4003003"), service_type=service)
    assert len(ask(report, ATTEMPTS)) == rows
