"""The planted cases: calls in the sample months whose determinations were worked out by hand from the rules' text."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import chain

from qa_audit.demo.planted import airway, changeover, equipment, later, oxygen
from qa_audit.demo.planted.refused import narrative_with_a_phone_number
from qa_audit.demo.planted.row import RULES, Planted, Row
from qa_audit.demo.pseudonyms import pseudonym


@dataclass(frozen=True)
class Expected:
    """One determination that the sample months must lead to; outcome null: the rule finds no opportunity in the report.

    `report_id` and `member` are the pseudonyms under the demo key, as the determinations table has them.
    """

    name: str
    month: str
    uuid: str
    report_id: str
    rule: str
    member: str | None
    outcome: str | None
    reason: str | None
    amount: float | None


def cases() -> tuple[Planted, ...]:
    """Return every planted case, those that wait for something included."""
    parts = (oxygen, changeover, equipment, airway, later)
    return tuple(chain.from_iterable(part.cases() for part in parts))


def expected() -> list[Expected]:
    """Return what the rules of today must say of every planted call: all of their determinations, none left out."""
    return [one for planted in cases() if planted.case is not None for one in _expected(planted)]


def _expected(planted: Planted) -> list[Expected]:
    judged = [row for row in planted.rows if row.waits_for is None]
    asked = {row.rule for row in judged}
    silent = [Row(rule, None, "Nothing in the report opens this rule.") for rule in RULES if rule not in asked]
    return [_one(planted, row) for row in (*judged, *silent)]


def _one(planted: Planted, row: Row) -> Expected:
    if planted.case is None or planted.month is None:
        raise ValueError(f"{planted.name}: stands in no month")
    member = planted.member(row)
    return Expected(
        name=planted.name,
        month=planted.month,
        uuid=str(planted.case.uuid),
        report_id=pseudonym("R", str(planted.case.uuid)),
        rule=row.rule,
        member=None if member is None else pseudonym("P", member.id),
        outcome=row.outcome,
        reason=row.reason,
        amount=row.amount,
    )


__all__ = ["Expected", "Planted", "Row", "cases", "expected", "narrative_with_a_phone_number"]
