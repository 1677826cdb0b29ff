"""Headlines: the few plain sentences at the head of the dashboard, computed from what is published and nothing else."""

from __future__ import annotations

from collections.abc import Sequence

from qa_audit.report.answers import field_that_helps
from qa_audit.report.asked import Asked
from qa_audit.report.charts.trend import period_label
from qa_audit.report.page import percent
from qa_audit.report.wording import counted, joined
from qa_audit.settings import Settings
from qa_audit.tables import Month
from qa_audit.tables.published import SMALL_COUNT

SENTENCES_AT_MOST, WANTED_AT_MOST = 3, 5
FIRST_LOOK, LIMITS = 10, 20
"""Useful points before a series is tested, and before it gets control limits, as in TRENDS."""
MUCH_UNTOLD = 0.3
"""A share of silent reports that leadership hears about; as for a headline."""


def sentences(month: Month, asked: Sequence[Asked], months: int) -> list[str]:
    """Return at most three plain sentences: what was read, whether care moved, what limits the answer."""
    unanswerable = sum(each.unanswerable for each in asked)
    read = "10 or fewer" if month.admitted <= SMALL_COUNT else str(month.admitted)
    label = period_label(month.month)
    said = [
        f"{read} reports of {label} were screened against {counted(len(asked), 'standard')}"
        + (f"; {unanswerable} of these cannot be judged from such records." if unanswerable else "."),
        _movement(asked, months),
        _limit(asked),
    ]
    return [sentence for sentence in said if sentence][:SENTENCES_AT_MOST]


def _movement(asked: Sequence[Asked], months: int) -> str:
    moved = [quoted(each) for each in asked if each.moved]
    if moved:
        return f"More than chance explains has moved in {joined(moved)}; the chart below shows since when."
    if any(each.tested for each in asked):
        return "Nothing that could be tested moved more than chance explains."
    if not any(each.shown for each in asked):
        return (
            "No score can be shown yet: in so few reports each would give a count of 1 to 10 away. "
            f"Whether care is moving can be said once {FIRST_LOOK} periods can be shown."
        )
    return (
        f"Whether care is moving cannot be said yet: {counted(months, 'month is', 'months are')} stored, "
        f"a first look needs {FIRST_LOOK} periods that can be shown, control limits need {LIMITS}."
    )


def _limit(asked: Sequence[Asked]) -> str:
    silent = [
        (each, each.latest) for each in asked if each.latest and each.latest["applied"] and each.latest["cannot_tell"]
    ]
    if not silent:
        return ""
    worst, cells = max(silent, key=lambda pair: pair[1]["cannot_tell"] / pair[1]["applied"])
    share = cells["cannot_tell"] / cells["applied"]
    return (
        f"What limits the answer most is the chart: in {cells['cannot_tell']} of {cells['applied']} reports "
        f"({percent(share)}) it cannot be told whether {quoted(worst)} holds."
    )


def wanted(asked: Sequence[Asked], settings: Settings) -> list[str]:
    """Return at most five things wanted from leadership, in the order of what they would open."""
    letters = (
        "" if settings.peer_review else "The service's own peer-review statement: without it no letter is written."
    )
    fields = [_field(each, settings) for each in asked]
    asks = [letters, *fields, *map(_system, asked), *map(_charting, asked)]
    return [ask for ask in asks if ask][:WANTED_AT_MOST]


def quoted(each: Asked) -> str:
    """Return a rule's title within a sentence."""
    return f"“{each.rule.title.rstrip('.')}”"


def _field(each: Asked, settings: Settings) -> str:
    field = field_that_helps(each.edition, each.rule, settings) if each.unanswerable else None
    if field is None:
        return ""
    waiting = (each.month or {}).get("not_assessable")
    many = f" ({waiting} reports of the month wait for it)" if waiting else ""
    asked_for = field.sentence.rstrip(".")
    return f"One field in the charting system, for: {asked_for}. Without it {quoted(each)} cannot be judged here{many}."


def _system(each: Asked) -> str:
    findings = (each.latest or {}).get("system")
    if not findings:
        return ""
    return (
        f"{findings} findings on {quoted(each)} are for the service to answer (equipment, stock, training, records), "
        "not for crews."
    )


def _charting(each: Asked) -> str:
    cells = each.latest or {}
    untold, applied = cells.get("cannot_tell"), cells.get("applied")
    if not untold or not applied or untold < MUCH_UNTOLD * applied:
        return ""
    return f"A place and a habit for charting {quoted(each)}: in {untold} of {applied} reports it cannot be told."
