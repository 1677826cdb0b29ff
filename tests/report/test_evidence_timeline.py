from __future__ import annotations

from datetime import UTC, datetime, timedelta
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from qa_audit.report.charts.timeline import (
    LEFT,
    LETTER_WIDTH,
    RIGHT,
    WIDTH,
    Charted,
    Moment,
    Placed,
    Timeline,
    timeline,
)

TEN = datetime(2026, 1, 3, 10, tzinfo=UTC)


def at(minutes: float, words: str = "x", value: float | None = None) -> Moment:
    return Moment(TEN + timedelta(minutes=minutes), words, value)


def drawn(**parts: list[Moment]) -> Timeline | None:
    lists = {name: parts.get(name, []) for name in ("readings", "therapy", "events", "milestones")}
    charted = Charted(**lists, equipment=[], ceiling=96.0, ends=TEN + timedelta(minutes=40))
    return timeline(charted, lambda time: f"{time:%H:%M}")


def span(label: Placed) -> tuple[float, float]:
    length = LETTER_WIDTH * len(label.words)
    return (
        (label.label_x, label.label_x + length) if label.anchor == "start" else (label.label_x - length, label.label_x)
    )


def test_nothing_is_drawn_of_a_single_moment() -> None:
    assert drawn(events=[at(0)]) is None
    assert drawn() is None


def test_a_time_that_is_a_day_off_is_left_out_of_the_drawing() -> None:
    made = drawn(
        events=[at(0), at(10), at(20)], milestones=[at(-1380, "unit notified"), at(5, "first patient contact")]
    )
    assert made is not None
    assert [each.words for each in made.milestones] == ["first patient contact"]


def test_the_ceiling_is_drawn_only_while_the_therapy_runs() -> None:
    made = drawn(
        therapy=[at(0, "by mask", 15.0)], readings=[at(-20, "90", 90.0), at(10, "99", 99.0), at(60, "95", 95.0)]
    )
    assert made is not None
    assert made.ceiling is not None
    assert (
        made.readings[0].x
        < made.ceiling.x
        < made.readings[1].x
        < made.ceiling.x + made.ceiling.width
        < made.readings[2].x
    )
    assert made.readings[1].y < made.ceiling.y < made.readings[2].y


def test_a_bar_is_open_only_where_no_later_entry_ends_it() -> None:
    made = drawn(therapy=[at(0, "by mask", 15.0), at(20, "by cannula", 2.0)])
    assert made is not None
    assert [stretch.open_end for stretch in made.therapy] == [False, True]
    stopped = drawn(therapy=[at(0, "by mask", 15.0), at(20, "by mask", 0.0)])
    assert stopped is not None
    assert [stretch.open_end for stretch in stopped.therapy] == [False, False]


MOMENTS = st.lists(
    st.tuples(st.integers(0, 180), st.text("abcdefgh ", min_size=1, max_size=60)), min_size=2, max_size=14
).filter(lambda made: len({minute for minute, _ in made}) > 1)


@given(MOMENTS)
def test_labels_never_touch_each_other_and_every_mark_lies_inside(made: list[tuple[int, str]]) -> None:
    chart = drawn(events=[at(minute, words) for minute, words in made])
    assert chart is not None
    labels = sorted(chart.events, key=lambda each: (each.row, span(each)))
    for before, after in pairwise(labels):
        assert before.row != after.row or span(before)[1] <= span(after)[0]
    assert all(LEFT <= each.x <= WIDTH - RIGHT for each in chart.events)
    assert len(chart.events) == len(made)


@given(MOMENTS)
def test_no_stem_runs_through_a_label_that_begins_at_its_own_mark(made: list[tuple[int, str]]) -> None:
    chart = drawn(milestones=[at(minute, words) for minute, words in made])
    assert chart is not None
    for stem in chart.milestones:
        for label in chart.milestones:
            if label is not stem and label.anchor == "start" and label.row < stem.row:
                assert not span(label)[0] < stem.x < span(label)[1]
