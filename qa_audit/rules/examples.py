"""Judging a rule's examples: all of them side by side, as one small month."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, time

import polars as pl

from qa_audit.errors import Fault
from qa_audit.rules.charts import claimed_facts, known_items
from qa_audit.rules.concept import CUSTOM, Concept, Concepts, Meaning
from qa_audit.rules.edition import Edition
from qa_audit.rules.example import Clock, Example, ExampleFact
from qa_audit.rules.judging import judge_rule
from qa_audit.rules.rule import Rule
from qa_audit.rules.view import ChartView
from qa_audit.tables import FACTS, MEMBERS, REPORTS
from qa_audit.tables.determinations import CANNOT_TELL_REASONS, OUTCOME_WORDS

ITS_DAY = date(2026, 1, 10)
Found = dict[int, tuple[str, str | None, float | None]]


def wrong_examples(rule: Rule, edition: Edition) -> Iterator[Fault]:
    """Yield a fault for each example whose outcome, reason or amount differs from what the rule makes of it."""
    found = judge_examples(rule, edition)
    for number, example in enumerate(rule.examples):
        outcome, reason, amount = found.get(number, ("no opportunity", None, None))
        right = (outcome, reason) == (example.expect, example.reason)
        if example.amount is not None:
            right = right and amount == example.amount
        if not right:
            expected = _spelled(example.expect, example.reason, example.amount)
            said = f"the example '{example.case}' expects {expected}, found {_spelled(outcome, reason, amount)}"
            yield edition.places[rule.id].fault(("examples", number), f"{said}; correct the rule or the example.")


def judge_examples(rule: Rule, edition: Edition) -> Found:
    """Return outcome, reason and amount of each example by its number, rolled up over its opportunities."""
    found: Found = {}
    for with_agency_fields in (False, True):
        chosen = {
            number: example
            for number, example in enumerate(rule.examples)
            if example.with_agency_fields is with_agency_fields
        }
        if chosen:
            found |= _judge(rule, edition, chosen, with_agency_fields=with_agency_fields)
    return found


def _judge(rule: Rule, edition: Edition, chosen: dict[int, Example], *, with_agency_fields: bool) -> Found:
    fields = {name for name, concept in edition.concepts.items() if concept.agency_field}
    custom: dict[str, tuple[str, Meaning]] = {f"{CUSTOM}{name}=1": (name, "present") for name in fields}
    concepts = Concepts(edition.concepts, custom if with_agency_fields else {})
    facts = FACTS.frame(list(_facts(chosen, edition))).lazy()
    items = known_items(facts)
    view = ChartView(
        reports=REPORTS.frame([_report(number, example) for number, example in chosen.items()]).lazy(),
        members=MEMBERS.frame(list(_members(rule, chosen, edition))).lazy(),
        claimed=claimed_facts(facts, concepts, items),
        every_fact=facts,
        known_items=items,
        concepts=concepts,
        everyone_suspected=edition.file.suspected_infection == "everyone",
    )
    judged = judge_rule(rule, view).select("report", "outcome", "reason", "amount").collect()
    return {number: _rolled_up(rows) for (number,), rows in judged.group_by("report")}


def _rolled_up(rows: pl.DataFrame) -> tuple[str, str | None, float | None]:
    order = {reason: place for place, reason in enumerate(CANNOT_TELL_REASONS)}
    ranked = sorted(
        rows.iter_rows(named=True),
        key=lambda row: (OUTCOME_WORDS.index(row["outcome"]), order.get(row["reason"] or "", 0), -(row["amount"] or 0)),
    )
    return ranked[0]["outcome"], ranked[0]["reason"], ranked[0]["amount"]


def _spelled(outcome: str, reason: str | None, amount: float | None) -> str:
    why = f" ({reason})" if reason else ""
    return f"{outcome}{why}" + (f", amount {amount:g}" if amount is not None else "")


def _instant(clock: Clock | None) -> datetime | None:
    if clock is None:
        return None
    hour, minute, second = (int(part) for part in f"{clock}:0".split(":")[:3])
    return datetime.combine(ITS_DAY, time(hour, minute, second), UTC)


def _report(number: int, example: Example) -> dict[str, object]:
    report = example.report
    return {
        "report": number,
        "report_id": f"example {number}",
        "month": f"{ITS_DAY:%Y-%m}",
        "local_date": ITS_DAY,
        "offset_minutes": 0,
        "unit_notified": _instant("9:40"),
        "at_patient": _instant(report.at_patient),
        "left_scene": _instant(report.left_scene),
        "at_destination": _instant(report.at_destination),
        "transfer_of_care": _instant(report.transfer_of_care),
        "age_years": report.age_years,
        "transported": report.transported,
        "subset": report.subset,
        "standard_version": "3.5.1",
        "source": 0,
    }


def _members(rule: Rule, chosen: dict[int, Example], edition: Edition) -> Iterator[dict[str, object]]:
    check = rule.check
    for number, example in chosen.items():
        for member in example.crew:
            roles = [str(getattr(check, role, "")) for role in member.roles]
            codes = [item_of(edition.concepts[role]).split("=")[1] for role in roles if role in edition.concepts]
            yield {"report": number, "member": member.id, "roles": codes, "ppe_recorded": False}


def _facts(chosen: dict[int, Example], edition: Edition) -> Iterator[dict[str, object]]:
    fact = 0
    for number, example in chosen.items():
        for place, written in enumerate(example.facts):
            for name in (written.concept, *written.also):
                named = {"fact": fact, "report": number, "item": _item(name, edition.concepts[name])}
                yield {**named, **_said(place, written, name, edition.concepts[name])}
                fact += 1


def _item(name: str, concept: Concept) -> str:
    return f"{CUSTOM}{name}=1" if concept.agency_field else item_of(concept)


def _said(place: int, written: ExampleFact, name: str, concept: Concept) -> dict[str, object]:
    """Return what the example says of a fact, apart from what it is."""
    own_group = None if concept.agency_field else place + 100
    measured = name == written.concept
    return {
        "time": _instant(written.at),
        "value": written.value if measured else None,
        "unit": written.unit if measured else None,
        "count": written.count,
        "success": written.success,
        "member": written.member,
        "status": "missing" if written.missing else "negated" if written.negated else "present",
        "why": written.missing,
        "call_group": written.group if written.group is not None else own_group,
        "origin": "custom" if concept.agency_field else "coded",
        "by_others": written.by_others,
    }


def item_of(concept: Concept) -> str:
    """Return the first item that the concept names, a prefix as its shortest code; empty when it names none."""
    for element, codes in concept.items.items():
        return element if not codes else f"{element}={codes[0].rstrip('*') or '0'}"
    return f"eSituation.11={concept.diagnoses[0].rstrip('*')}" if concept.diagnoses else ""
