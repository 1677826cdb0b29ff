"""What a trend chart says, in words: for those who do not see it, and for those who do."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from qa_audit.report.charts.trend import period_label
from qa_audit.report.page import percent
from qa_audit.report.wording import joined


def trend_in_words(trend: Sequence[dict[str, Any]], level: str) -> str:
    """Return the message of one rule's rows of TRENDS, empty where no score can be shown."""
    phase = [row for row in trend if row["phase"] == trend[-1]["phase"]]
    shown = [row for row in phase if row["share"] is not None]
    if not shown:
        return ""
    since = " under the changed standard" if phase[0]["phase"] else ""
    first, last = shown[0], shown[-1]
    if len(shown) == 1:
        share = f"{percent(last['share'])} of {last['judged']}"
        return f"One {level} can be shown{since}: {period_label(last['period'])}, {share}."
    words = (
        f"{len(shown)} {level}s can be shown{since}, from {period_label(first['period'])} ({percent(first['share'])}) "
        f"to {period_label(last['period'])} ({percent(last['share'])})."
    )
    return f"{words} {_verdict(phase)}"


def _verdict(phase: Sequence[dict[str, Any]]) -> str:
    last = phase[-1]
    if last["centre"] is None:
        return "Some scores are not shown, so nothing is tested."
    if last["chart"] == "values":
        return f"Too few for a test; the line is the median, {percent(last['centre'])}."
    kind = "median" if last["chart"] == "run_chart" else "centre of the baseline"
    still = " The limits are provisional." if last["chart"] == "p_chart" and last["provisional"] else ""
    outside = [period_label(row["period"]) for row in phase if row["point"] == "signal"]
    if outside:
        return f"Outside the limits by more than chance: {joined(outside)} ({kind} {percent(last['centre'])}).{still}"
    if last["run"]:
        return f"A run too long, or crossings too few, for chance alone ({kind} {percent(last['centre'])}).{still}"
    return f"No more than chance explains ({kind} {percent(last['centre'])}).{still}"
