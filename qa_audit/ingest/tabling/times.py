"""Times as the standard writes them, to whole milliseconds UTC.

Source: NEMSIS v3.5.1 DateTimeType (1950 to 2050, numeric offset required) and W3C XML Schema dateTime (24:00:00 is the
next midnight, offsets to 14:00). Digits beyond milliseconds are cut; -00:00 is read as UTC.
"""

from __future__ import annotations

import polars as pl

from qa_audit.tables.table import INSTANT

PATTERN = r"^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}(\.\d+)?[+-]\d{2}:\d{2}$"
MINUTE, HOUR = 60_000, 3_600_000
WIDEST_OFFSET = 14 * 60
FIRST, AFTER_LAST = 1950, 2050


def offset_minutes(text: pl.Expr) -> pl.Expr:
    """Return the offset from UTC in minutes; null where the text does not end in one."""
    tail = text.str.slice(-6)
    minutes = _number(tail, 1, 2) * 60 + _number(tail, 4, 2)
    signed = pl.when(tail.str.starts_with("-")).then(-minutes).otherwise(minutes)
    return pl.when((minutes <= WIDEST_OFFSET) & (_number(tail, 4, 2) <= 59)).then(signed).cast(pl.Int16)  # noqa: PLR2004


def offset_is_unknown(text: pl.Expr) -> pl.Expr:
    """Say whether the offset is -00:00: RFC 3339 means by it that the offset is not known."""
    return text.str.ends_with("-00:00")


def instant(text: pl.Expr) -> pl.Expr:
    """Return the instant in milliseconds UTC; null where the text is no time of the standard."""
    fits = text.str.contains(PATTERN)
    day = text.str.slice(0, 10).str.to_date("%Y-%m-%d", strict=False)
    hour, minute, second = (_number(text, start, 2) for start in (11, 14, 17))
    digits = text.str.extract(r"\.(\d+)", 1)
    milliseconds = digits.str.slice(0, 3).str.pad_end(3, "0").cast(pl.Int64, strict=False).fill_null(0)
    whole_day = (hour == 24) & (minute == 0) & (second == 0) & ~digits.fill_null("0").str.contains("[1-9]")  # noqa: PLR2004
    clock = ((hour < 24) & (minute < 60) & (second < 60)) | whole_day  # noqa: PLR2004 - hours, minutes, seconds
    local = hour * HOUR + minute * MINUTE + second * 1000 + milliseconds
    utc = day.cast(pl.Datetime("ms")).dt.epoch("ms") + local - offset_minutes(text).cast(pl.Int64) * MINUTE
    read = utc.cast(INSTANT)
    in_range = (read.dt.year() >= FIRST) & ((read.dt.year() < AFTER_LAST) | (utc == _END))
    return pl.when(fits & clock & in_range).then(read)


_END = 2_524_608_000_000
"""2050-01-01T00:00:00Z, the last instant allowed."""


def _number(text: pl.Expr, start: int, length: int) -> pl.Expr:
    return text.str.slice(start, length).cast(pl.Int64, strict=False)
