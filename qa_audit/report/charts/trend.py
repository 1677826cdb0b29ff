"""The trend chart: a rule's published scores over time, with centre, limits and the dates of new editions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from math import ceil
from typing import Any

from qa_audit.report.wording import MONTHS

WIDTH, HEIGHT = 680, 296
LEFT, RIGHT, TOP, BOTTOM = 46, 672, 30, 206
GAPS_TOP, GAPS_BOTTOM = 246, 286
"""Where the charting gaps are drawn, under the care they limit."""
LABELS_AT_MOST = 12
KEY = {
    "changeover": "Hollow point: the standard changed within the period, not tested.",
    "signal": "Diamond: outside the limits by more than chance.",
    "watch": "Square: outside the limits, chance not ruled out.",
    "gap": "Dash on the axis: not shown, or nothing judged.",
}
MONTHS_IN = {"month": 1, "quarter": 3, "year": 12}


@dataclass(frozen=True)
class Mark:
    """The beginning of an edition: a letter in the chart, its title beside it."""

    letter: str
    x: float
    title: str
    begins: date


@dataclass(frozen=True)
class Dot:
    """One period: where it is drawn (`y` null: not shown), and its row in the table."""

    label: str
    tick: str | None
    x: float
    y: float | None
    bar: float | None
    """Height of the bar of charting gaps, null where not shown."""
    form: str
    """`plain`, `changeover`, `signal`, `watch` or `gap`."""
    row: dict[str, Any]


@dataclass(frozen=True)
class TrendChart:
    """Everything the template draws."""

    dots: tuple[Dot, ...]
    lines: tuple[str, ...]
    centres: tuple[str, ...]
    limits: tuple[str, ...]
    marks: tuple[Mark, ...]
    grid: tuple[tuple[int, float], ...]

    bar_width: float
    key: tuple[str, ...]

    width, height, left, right, top, bottom, gaps_top, gaps_bottom = (
        WIDTH, HEIGHT, LEFT, RIGHT, TOP, BOTTOM, GAPS_TOP, GAPS_BOTTOM,
    )  # fmt: skip


def trend_chart(rows: Sequence[dict[str, Any]], editions: Sequence[tuple[str, date]]) -> TrendChart:
    """Return the chart of one rule's rows of TRENDS, and of the titles and first days of editions among them."""
    step = (RIGHT - LEFT) / len(rows)
    places = [LEFT + step * (place + 0.5) for place in range(len(rows))]
    every = ceil(len(rows) / LABELS_AT_MOST)
    dots = tuple(
        Dot(period_label(row["period"]), _tick(row["period"]) if place % every == 0 else None, round(x, 1),
            None if row["share"] is None else _y(row["share"]), _bar(row["gaps"]), _form(row), dict(row))
        for place, (row, x) in enumerate(zip(rows, places, strict=True))
    )  # fmt: skip
    return TrendChart(
        dots=dots,
        lines=tuple(_polyline(run) for run in _unbroken(dots)),
        centres=tuple(_steps(dots, "centre", step)),
        limits=(*_steps(dots, "lower", step), *_steps(dots, "upper", step)),
        marks=tuple(_marks(rows, editions, step)),
        grid=tuple((share, _y(share / 100)) for share in (0, 25, 50, 75, 100)),
        key=tuple(words for form, words in KEY.items() if any(dot.form == form for dot in dots)),
        bar_width=round(min(24.0, step * 0.6), 1),
    )


def period_label(period: str) -> str:
    """Return a period in words: January 2026, January to March 2026, 2026."""
    year, _, part = period.partition("-")
    if not part:
        return year
    if part.startswith("Q"):
        first = 3 * (int(part[1]) - 1)
        return f"{MONTHS[first]} to {MONTHS[first + 2]} {year}"
    return f"{MONTHS[int(part) - 1]} {year}"


def _tick(period: str) -> str:
    year, _, part = period.partition("-")
    if not part:
        return year
    return f"{part} {year[2:]}" if part.startswith("Q") else f"{MONTHS[int(part) - 1][:3]} {year[2:]}"


def _y(share: float) -> float:
    return round(BOTTOM - share * (BOTTOM - TOP), 1)


def _bar(share: float | None) -> float | None:
    return None if share is None else round(share * (GAPS_BOTTOM - GAPS_TOP), 1)


def _form(row: dict[str, Any]) -> str:
    if row["share"] is None:
        return "gap"
    return row["point"] or ("changeover" if row["changeover"] else "plain")


def _unbroken(dots: Sequence[Dot]) -> list[list[Dot]]:
    """Return the stretches of shown points of one phase: a line never crosses a gap or a changed rule."""
    stretches: list[list[Dot]] = []
    before: Dot | None = None
    for dot in dots:
        if dot.y is not None:
            joined = before is not None and before.y is not None and before.row["phase"] == dot.row["phase"]
            stretches.append([*stretches.pop(), dot] if joined else [dot])
        before = dot
    return [stretch for stretch in stretches if len(stretch) > 1]


def _polyline(dots: Sequence[Dot]) -> str:
    return " ".join(f"{dot.x},{dot.y}" for dot in dots)


def _steps(dots: Sequence[Dot], column: str, step: float) -> list[str]:
    """Return a stepped line for each stretch in which the column has a value, phase by phase."""
    lines: list[list[str]] = []
    before: Dot | None = None
    for dot in dots:
        value = dot.row[column]
        if value is not None:
            joined = before is not None and before.row[column] is not None and before.row["phase"] == dot.row["phase"]
            if not joined:
                lines.append([])
            lines[-1] += [f"{dot.x - step / 2:.1f},{_y(value)}", f"{dot.x + step / 2:.1f},{_y(value)}"]
        before = dot
    return [" ".join(line) for line in lines]


def _marks(rows: Sequence[dict[str, Any]], editions: Sequence[tuple[str, date]], step: float) -> list[Mark]:
    months = MONTHS_IN[rows[0]["level"]]
    spans = [(_first_month(row["period"]), place) for place, row in enumerate(rows)]
    marks: list[Mark] = []
    for title, begins in editions:
        at = begins.year * 12 + begins.month - 1 + (begins.day - 1) / 31
        inside = [place + (at - first) / months for first, place in spans if first <= at < first + months]
        # Before the first period there is nothing to part.
        marks += [
            Mark(chr(97 + len(marks)), round(LEFT + step * place, 1), title, begins) for place in inside if place > 0
        ]
    return marks


def _first_month(period: str) -> int:
    year, _, part = period.partition("-")
    if not part:
        return int(year) * 12
    return int(year) * 12 + (3 * (int(part[1]) - 1) if part.startswith("Q") else int(part) - 1)
