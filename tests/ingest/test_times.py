"""Times: every spelling the standard allows, to whole milliseconds UTC, against Python's own arithmetic."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from ingest.building import NOTIFIED, at, read_report, tag, vitals

from qa_audit.ingest.tabling.times import instant, offset_minutes

offsets = st.integers(-14 * 60, 14 * 60)
moments = st.datetimes(datetime(1951, 1, 1), datetime(2049, 12, 30))  # noqa: DTZ001 - the offset is drawn apart


def understood(*texts: str) -> list[datetime | None]:
    """Read texts as times."""
    return pl.DataFrame({"text": texts}).select(instant(pl.col("text"))).to_series().to_list()


def spelled(offset: int) -> str:
    """Write an offset in minutes as the standard does."""
    hours, minutes = divmod(abs(offset), 60)
    return f"{'-' if offset < 0 else '+'}{hours:02}:{minutes:02}"


@given(moments, offsets, st.text("0123456789", max_size=9))
def test_any_time_is_read_as_python_reads_it_with_further_digits_cut(
    moment: datetime, offset: int, digits: str
) -> None:
    whole = moment.replace(microsecond=0)
    text = f"{whole:%Y-%m-%dT%H:%M:%S}{'.' + digits if digits else ''}{spelled(offset)}"
    milliseconds = int((digits + "000")[:3])
    expected = (whole + timedelta(milliseconds=milliseconds)).replace(tzinfo=timezone(timedelta(minutes=offset)))
    assert understood(text) == [expected.astimezone(UTC)]


@given(moments, offsets)
def test_midnight_may_be_written_as_24_o_clock_of_the_day_before(moment: datetime, offset: int) -> None:
    next_day = (moment + timedelta(days=1)).replace(hour=0, minute=0, second=0, microsecond=0)
    assert understood(f"{moment:%Y-%m-%d}T24:00:00{spelled(offset)}") == understood(
        f"{next_day:%Y-%m-%dT%H:%M:%S}{spelled(offset)}"
    )


@given(offsets)
def test_the_offset_itself_is_kept_in_minutes(offset: int) -> None:
    frame = pl.DataFrame({"text": [f"2026-01-10T10:00:00{spelled(offset)}"]})
    assert frame.select(offset_minutes(pl.col("text"))).item() == offset


@pytest.mark.parametrize(
    "text",
    [
        "2026-01-10T10:00:00",  # no offset
        "2026-01-10T10:00:00Z",
        "2026-01-10 10:00:00-06:00",
        "2026-02-30T10:00:00-06:00",
        "2026-01-10T24:00:01-06:00",
        "2026-01-10T25:00:00-06:00",
        "2026-01-10T10:60:00-06:00",
        "2026-01-10T10:00:60-06:00",
        "2026-01-10T10:00:00-14:30",
        "2026-01-10T10:00:00-06:60",
        "1949-12-31T23:59:59+00:00",
        "2050-01-01T00:00:01+00:00",
        "yesterday",
    ],
)
def test_what_the_standard_does_not_allow_is_no_time(text: str) -> None:  # NEMSIS v3.5.1 DateTimeType
    assert understood(text) == [None]


def test_a_time_without_offset_is_stripped_and_listed_and_its_entry_stays() -> None:
    read = read_report(eVitals=vitals(_01="2026-01-10T10:20:00", _12=97))
    assert (read.fact("eVitals.12")["time"], read.fact("eVitals.12")["value"]) == (None, 97.0)
    assert ("eVitals.01", "not_a_time", None) in read.noticed()


def test_an_unknown_offset_is_read_as_utc_and_remarked_once_for_each_element() -> None:
    times = tag("eTimes.03", NOTIFIED) + tag("eTimes.07", at("16:10", "-00:00"))
    read = read_report(
        eTimes=times, eVitals=vitals(_01=at("16:20", "-00:00"), _12=97) + vitals(_01=at("16:30", "-00:00"), _12=96)
    )
    assert read.reports["at_patient"].item() == datetime(2026, 1, 10, 16, 10, tzinfo=UTC)
    unknown = read.remarks.filter(pl.col("remark") == "offset_unknown")["element"].to_list()
    assert sorted(unknown) == ["eTimes.07", "eVitals.01"]


def test_offsets_may_differ_inside_one_report() -> None:
    read = read_report(eTimes=tag("eTimes.03", NOTIFIED) + tag("eTimes.07", at("11:10", "-05:00")))
    assert read.reports["at_patient"].item() == datetime(2026, 1, 10, 16, 10, tzinfo=UTC)
