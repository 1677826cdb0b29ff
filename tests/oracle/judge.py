"""The oracle's door: reports and editions in, determinations and their roll-up out."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

from oracle import attempts, companion_episodes, companion_members, within_band
from oracle.clock import fallback, in_force, instant, is_changeover_day, nearest, others
from oracle.cohorts import belongs
from oracle.model import CANNOT_TELL_ORDER, Determination, Edition, Opportunity, Report, Settings
from oracle.view import View, look, with_settings

KINDNESS = ["met", "excepted", "excluded", "cannot_tell", "not_met"]
NOT_IN_NATIONAL = ("eCrew.", "eOther.", "eAirway.", "eNarrative.", "eDevice.", "eExam.", "eLabs.")


def judge(reports: list[Report], editions: list[Edition], settings: Settings) -> list[Determination]:
    """Return one determination for each opportunity of each rule and report."""
    editions = [replace(edition, concepts=with_settings(edition.concepts, settings)) for edition in editions]
    editions.sort(key=lambda one: one.from_local)
    rules = sorted({rule for edition in editions for rule in edition.rules})
    rows: list[Determination] = []
    for report in reports:
        views = [look(report, edition, settings) for edition in editions]
        for rule in rules:
            rows += judge_report(report, rule, editions, views)
    return rows


def judge_report(report: Report, rule: str, editions: list[Edition], views: list[View]) -> list[Determination]:
    """Find each opportunity with the edition that its own time picks, and let the others answer too."""
    found = {number: under(view, rule) for number, view in enumerate(views) if rule in view.edition.rules}
    rows: list[tuple[Opportunity, str | None, str | None]] = []
    for number, opportunities in found.items():
        for one in opportunities:
            time = fallback(report, one.time)
            act = in_force(report, editions, time)
            if (act or nearest(report, editions, time)) is not editions[number]:
                continue
            on_changeover = one.time is None and is_changeover_day(report, editions, time)
            if act is None:
                rows.append((replace(plain(one, "no_edition"), amount=None), None, None))
                continue
            rivals = others(report, editions, act, time, one.touches)
            if on_changeover and one.outcome != "excluded":
                label = next((rival.label for rival in rivals if rival is not None), None)
                rows.append((plain(one, "time_missing"), act.label, label))
            else:
                rows.append(kinder(one, act, [(rival, answer_of(rival, one, editions, found)) for rival in rivals]))
    return numbered(report, rule, editions, rows)


def under(view: View, rule: str) -> list[Opportunity]:
    """Return a rule's opportunities as one edition judges them: applies, exclude, check, strength."""
    parameters = view.edition.rules[rule]
    applies = parameters.get("applies", [])
    if applies and not any(belongs(view, cohort) for cohort in applies):
        return []
    left_out = next((cohort for cohort in parameters.get("exclude", []) if belongs(view, cohort)), None)
    found = []
    for one in by_kind(view, parameters):
        if left_out is not None:
            found.append(Opportunity(one.time, "excluded", left_out, member=one.member, touches=one.touches))
        elif not is_assessable(view, parameters):
            found.append(plain(one, "not_assessable"))
        else:
            found.append(by_strength(by_silence(view, parameters, one), parameters))
    return found


def by_kind(view: View, parameters: dict[str, Any]) -> list[Opportunity]:
    """Ask the check."""
    kinds = {
        "within_band": within_band.opportunities,
        "members": companion_members.opportunities,
        "episodes": companion_episodes.opportunities,
        "attempts": attempts.opportunities,
    }
    return kinds[parameters["kind"]](view, parameters)


def has_standard_code(view: View, concept: str) -> bool:
    """Whether the standard has a code for the concept, or a child of it, in the report's subset."""
    for name, items in view.concepts.direct.items():
        if concept in view.concepts.line(name):
            for item in items:
                if view.report.subset == "full" or not item.startswith(NOT_IN_NATIONAL):
                    return True
    return False


def is_assessable(view: View, parameters: dict[str, Any]) -> bool:
    """Whether the standard or the agency's own elements can answer at all."""
    needed = parameters["assessed_by"]
    mapped = any(needed in view.concepts.line(one.concept) for one in view.settings.custom.values())
    return mapped or has_standard_code(view, needed)


def by_silence(view: View, parameters: dict[str, Any], one: Opportunity) -> Opportunity:
    """Forgive silence of agency fields before crews were told to chart them."""
    since = view.edition.must_document_from
    if one.reason != "not_documented" or since is None or has_standard_code(view, parameters["assessed_by"]):
        return one
    early = fallback(view.report, one.time) < instant(view.report, since)
    return plain(one, "not_assessable") if early else one


def by_strength(one: Opportunity, parameters: dict[str, Any]) -> Opportunity:
    """Advice without consensus knows only met and not_documented."""
    if parameters.get("strength", "must") == "may" and one.outcome in ("not_met", "cannot_tell"):
        return plain(one, "not_documented")
    return one


def plain(one: Opportunity, reason: str) -> Opportunity:
    """Return the opportunity as one that cannot be told."""
    return replace(one, outcome="cannot_tell", reason=reason)


def answer_of(
    rival: Edition | None, one: Opportunity, editions: list[Edition], found: dict[int, list[Opportunity]]
) -> Opportunity | None:
    """Return another edition's judgement of the same opportunity, if it knows the rule and finds it."""
    for number, edition in enumerate(editions):
        for other in found.get(number, []):
            if edition is rival and (other.member, other.time) == (one.member, one.time):
                return other
    return None


def kinder(
    one: Opportunity, act: Edition, answers: list[tuple[Edition | None, Opportunity | None]]
) -> tuple[Opportunity, str | None, str | None]:
    """Return the kindest answer with the edition that gave it and the other one that answered."""
    if not answers:
        return one, act.label, None
    labels = [edition.label for edition, _ in answers if edition is not None]
    if one.outcome == "not_met" and any(other is None for _, other in answers):
        one = plain(one, "no_edition")
    best, decided_by = one, act.label
    for edition, other in answers:
        if edition is None or other is None:
            continue
        if KINDNESS.index(other.outcome) < KINDNESS.index(best.outcome):
            best, decided_by = other, edition.label
    rest = [label for label in [act.label, *labels] if label != decided_by]
    return best, decided_by, rest[0] if rest else None


def numbered(
    report: Report, rule: str, editions: list[Edition], rows: list[tuple[Opportunity, str | None, str | None]]
) -> list[Determination]:
    """Name each opportunity, counted in time order within report and rule."""
    parameters = next(edition.rules[rule] for edition in editions if rule in edition.rules)
    ordered = sorted(rows, key=lambda row: (row[0].time is None, row[0].time or 0))
    return [
        Determination(
            report.report,
            one.member,
            rule,
            edition,
            name(parameters, one, number),
            one.time,
            one.outcome,
            one.reason,
            None if one.amount is None else round(float(one.amount), 6),
            other,
        )
        for number, (one, edition, other) in enumerate(ordered, start=1)
    ]


def name(parameters: dict[str, Any], one: Opportunity, number: int) -> str:
    """Return `concept@second#n`, `concept@untimed#n`, or `report` for members and one-per-report rules."""
    anchor = {"within_band": "therapy", "episodes": "anchor"}.get(parameters["kind"])
    if anchor is None:
        return "report"
    if one.time is None:
        return f"{parameters[anchor]}@untimed#{number}"
    second = datetime.fromtimestamp(one.time // 1000, UTC)
    return f"{parameters[anchor]}@{second:%Y-%m-%dT%H:%M:%S}Z#{number}"


def roll_up(rows: list[Determination]) -> dict[tuple[int, str], tuple[str, str | None]]:
    """Return one outcome and reason for each report and rule."""
    groups: dict[tuple[int, str], list[Determination]] = {}
    for row in rows:
        groups.setdefault((row.report, row.rule), []).append(row)
    return {key: rolled(group) for key, group in groups.items()}


def rolled(rows: list[Determination]) -> tuple[str, str | None]:
    """Return not_met, else cannot_tell with the first reason, else met, excepted, excluded."""
    for outcome in ("not_met", "cannot_tell", "met", "excepted", "excluded"):
        reasons = [row.reason for row in rows if row.outcome == outcome]
        if reasons and outcome == "cannot_tell":
            return outcome, min((reason for reason in reasons if reason), key=CANNOT_TELL_ORDER.index)
        if reasons:
            return outcome, reasons[0]
    raise AssertionError("a group has at least one row")
