"""Timeline: one report's charted hours as geometry for an SVG in the look of a printed chart."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

WIDTH, LEFT, RIGHT = 960.0, 92.0, 14.0
PLOT_TOP, PLOT_HEIGHT, EMPTY_PLOT = 14.0, 150.0, 18.0
LANE_HEIGHT, ROW_HEIGHT = 40.0, 17.0
LETTER_WIDTH = 6.1
"""Width of a letter at the chart's 11 px type, a little generous, so that labels never touch."""
DRAWN_AROUND = timedelta(hours=6)
"""A time farther than this from the first contact is a slip of the pen: it stands in the table, not in the drawing."""
FULL = 100.0
SCALE_STEPS = (1, 2, 5, 10, 15, 30, 60, 120)
TICKS = 12


@dataclass(frozen=True)
class Moment:
    """Something charted at a time, with the words beside it."""

    time: datetime
    words: str
    value: float | None = None


@dataclass(frozen=True)
class Placed:
    """A mark with its label: `x` of the mark, `label_x` and `row` of the words, `y` of a reading."""

    x: float
    words: str
    label_x: float
    anchor: str
    row: int
    y: float = 0.0


@dataclass(frozen=True)
class Stretch:
    """A therapy as it was given from one entry to the next; `open_end` where no next entry says when it ended."""

    x: float
    width: float
    words: str
    row: int
    open_end: bool


@dataclass(frozen=True)
class Ceiling:
    """The band in force while the therapy runs: its upper edge and its words."""

    x: float
    width: float
    y: float
    words: str


@dataclass(frozen=True)
class Timeline:
    """Everything the template draws, in user units of a `width` by `height` view box."""

    width: float
    height: float
    left: float
    plot_top: float
    plot_bottom: float
    lane_tops: dict[str, float]
    lowest: float
    grid: list[tuple[float, str]]
    ticks: list[tuple[float, str]]
    ceiling: Ceiling | None
    readings: list[Placed]
    therapy: list[Stretch]
    events: list[Placed]
    equipment: list[str]
    milestones: list[Placed]
    summary: str


@dataclass(frozen=True)
class Scale:
    """The time axis: instants to x."""

    begins: datetime
    ends: datetime

    def x(self, time: datetime) -> float:
        """Return where an instant lies, cut to the drawing."""
        share = (time - self.begins) / (self.ends - self.begins)
        return round(LEFT + min(1.0, max(0.0, share)) * (WIDTH - LEFT - RIGHT), 1)


@dataclass(frozen=True)
class Charted:
    """What a report gives to draw.

    `readings` carry a saturation in percent; `therapy` the device and flow in force from each moment on, until `ends`
    (null: not recorded); `equipment` is lists without a time, which hold for the whole call; `ceiling` in percent.
    """

    readings: list[Moment]
    therapy: list[Moment]
    events: list[Moment]
    equipment: list[str]
    milestones: list[Moment]
    ceiling: float | None
    ends: datetime | None


def timeline(charted: Charted, clock: Callable[[datetime], str]) -> Timeline | None:
    """Return the drawing of a report, or nothing when no two times can be placed."""
    near = _near(charted)
    scale = _scale([each.time for each in (*near.readings, *near.therapy, *near.events, *near.milestones)])
    if scale is None:
        return None
    lowest = min([90.0, *(5 * (each.value // 5) for each in near.readings if each.value is not None)])
    stretches = _stretches(near.therapy, near.ends, scale)
    events, milestones = _placed(near.events, scale), _placed(near.milestones, scale)
    bottom = PLOT_TOP + (PLOT_HEIGHT if near.readings else EMPTY_PLOT)
    tops = {"therapy": bottom + 14}
    tops["events"] = tops["therapy"] + LANE_HEIGHT * max(1, len({each.row for each in stretches})) + 4
    tops["equipment"] = tops["events"] + ROW_HEIGHT * _rows(events) + 4
    tops["milestones"] = tops["equipment"] + ROW_HEIGHT * len(near.equipment) + 16
    return Timeline(
        width=WIDTH,
        height=tops["milestones"] + ROW_HEIGHT * _rows(milestones) + 30,
        left=LEFT,
        plot_top=PLOT_TOP,
        plot_bottom=bottom,
        lane_tops=tops,
        lowest=lowest,
        grid=[(_y(value, lowest), f"{value:.0f}") for value in _grid(lowest)],
        ticks=[(scale.x(time), clock(time)) for time in _ticks(scale)],
        ceiling=None if near.ceiling is None else _ceiling(near.ceiling, lowest, stretches),
        readings=_dots(near.readings, scale, lowest),
        therapy=stretches,
        events=events,
        equipment=near.equipment,
        milestones=milestones,
        summary=_summary(near, clock),
    )


def _rows(placed: list[Placed]) -> int:
    return 1 + max((each.row for each in placed), default=0)


def _ceiling(ceiling: float, lowest: float, stretches: list[Stretch]) -> Ceiling:
    begins = stretches[0].x if stretches else LEFT
    ends = stretches[-1].x + stretches[-1].width if stretches else WIDTH
    return Ceiling(begins, round(ends - begins, 1), _y(ceiling, lowest), f"ceiling {ceiling:g} %")


def _near(charted: Charted) -> Charted:
    """Leave out what lies hours away from the middle of the call."""
    acts = [*charted.readings, *charted.therapy, *charted.events] or charted.milestones
    times = sorted(each.time for each in acts)
    if not times:
        return charted
    middle = times[len(times) // 2]

    def near(moments: list[Moment]) -> list[Moment]:
        return [each for each in moments if abs(each.time - middle) <= DRAWN_AROUND]

    return replace(
        charted,
        readings=near(charted.readings),
        therapy=near(charted.therapy),
        events=near(charted.events),
        milestones=near(charted.milestones),
    )


def _scale(times: list[datetime]) -> Scale | None:
    if not times or min(times) == max(times):
        return None
    room = (max(times) - min(times)) / 40
    return Scale(min(times) - room, max(times) + room)


def _y(value: float, lowest: float) -> float:
    return round(PLOT_TOP + (FULL - value) / (FULL - lowest) * PLOT_HEIGHT, 1)


def _grid(lowest: float) -> list[float]:
    step = 2 if lowest >= 90 else 5 if lowest >= 75 else 10  # noqa: PLR2004 (steps that give five to eight lines)
    return [FULL - step * place for place in range(int((FULL - lowest) // step) + 1)]


def _ticks(scale: Scale) -> list[datetime]:
    minutes = (scale.ends - scale.begins) / timedelta(minutes=1)
    step = next((each for each in SCALE_STEPS if minutes / each <= TICKS), SCALE_STEPS[-1])
    first = scale.begins.replace(second=0, microsecond=0, minute=0)
    every = (first + timedelta(minutes=step * place) for place in range(int(minutes // step) + 2 + 60 // step))
    return [time for time in every if scale.begins <= time <= scale.ends]


def _dots(readings: list[Moment], scale: Scale, lowest: float) -> list[Placed]:
    return [
        Placed(scale.x(each.time), each.words, scale.x(each.time), "middle", 0, _y(each.value, lowest))
        for each in readings
        if each.value is not None
    ]


def _stretches(therapy: list[Moment], ends: datetime | None, scale: Scale) -> list[Stretch]:
    """Return each entry's stretch to the next; words too long for their stretch go to a second row."""
    stretches: list[Stretch] = []
    for place, each in enumerate(therapy):
        last = place + 1 == len(therapy)
        until = (ends if ends is not None and ends > each.time else scale.ends) if last else therapy[place + 1].time
        x, width = scale.x(each.time), scale.x(until) - scale.x(each.time)
        crowded = (
            bool(stretches) and stretches[-1].row == 0 and stretches[-1].x + LETTER_WIDTH * len(stretches[-1].words) > x
        )
        stretches.append(Stretch(x, max(width, 1.0), each.words, 1 if crowded else 0, last and each.value != 0))
    return stretches


def _placed(moments: list[Moment], scale: Scale) -> list[Placed]:
    """Put each label into the first row below every later label that it would reach into.

    From right to left: a mark's stem then runs down before the later labels, never through one.
    """
    taken: list[tuple[float, int]] = []
    placed = []
    for each in sorted(moments, key=lambda moment: moment.time, reverse=True):
        x, length = scale.x(each.time), LETTER_WIDTH * len(each.words)
        at_end = x + 4 + length > WIDTH
        left, right = (x - 4 - length, x + 4) if at_end else (x - 4, x + 8 + length)
        row = max((row + 1 for begin, row in taken if begin < right), default=0)
        taken.append((left, row))
        placed.append(Placed(x, each.words, x - 4 if at_end else x + 4, "end" if at_end else "start", row))
    return placed[::-1]


def _summary(charted: Charted, clock: Callable[[datetime], str]) -> str:
    """Return the drawing in a sentence or two, for readers who do not see it."""
    parts = []
    values = [each.value for each in charted.readings if each.value is not None]
    if values:
        parts.append(f"{len(values)} saturation readings from {min(values):g} to {max(values):g} percent")
        if charted.ceiling is not None:
            above = sum(value > charted.ceiling for value in values)
            parts[0] += f", {above} of them above the ceiling of {charted.ceiling:g}"
    parts += [f"{each.words} from {clock(each.time)}" for each in charted.therapy]
    parts += [f"{each.words} at {clock(each.time)}" for each in charted.events]
    return "; ".join(parts) + ("." if parts else "")
