"""Page: the templates' environment, their filters, and writing a page so that it is whole or untouched."""

from __future__ import annotations

import os
import tempfile
from datetime import date, datetime
from functools import cache
from math import ceil, floor
from pathlib import Path

import jinja2

from qa_audit.errors import DiskError
from qa_audit.report import wording

STANDING_SENTENCE = (
    "This screen supports, and never replaces, clinical judgement, local protocol, the medical director and the law. "
    "It makes no diagnosis, disciplines nobody and ranks no crew."
)
INTERNAL = "Internal: for the people who review care here. Not for leadership, crews or anybody outside."
LEADERSHIP = "For leadership: no crew, no vehicle and no single report stands on this page."
PERCENT_SIGN = "\N{NO-BREAK SPACE}%"
MANY = 1000
"""From this many reports on a percentage carries one decimal (common practice, no source)."""


@cache
def environment() -> jinja2.Environment:
    """Return the one environment of all templates: autoescaped, and an undefined name is our bug."""
    made = jinja2.Environment(
        loader=jinja2.PackageLoader("qa_audit.report"),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    made.filters |= {
        "percent": percent,
        "clock": clock,
        "day": wording.day,
        "day_and_clock": day_and_clock,
        "month_name": wording.month_name,
        "counted": wording.counted,
        "spaced": wording.spaced,
    }
    made.globals |= {
        "standing_sentence": STANDING_SENTENCE,
        "limited_data_set": wording.LIMITED_DATA_SET,
        "internal_mark": INTERNAL,
        "leadership_mark": LEADERSHIP,
    }
    return made


def render(template: str, **context: object) -> str:
    """Return a page from a template of this package; nothing on it comes from the time of rendering."""
    return environment().get_template(template).render(**context)


def percent(share: float, judged: int = 0) -> str:
    """Return a share as whole percent, `71 %`; with one decimal from a thousand reports on.

    A share that is neither none nor all never reads as 0 % or 100 %: 299 of 300 is `99.6 %`, rounded away from all.
    """
    hundred = 100 * share
    if 0 < share < 1 and not 0.5 <= hundred < 99.5:  # noqa: PLR2004 - where whole percent would round to 0 or 100
        nearer = ceil(hundred * 10) if hundred < 1 else floor(hundred * 10)
        return f"{nearer / 10:.1f}{PERCENT_SIGN}"
    return f"{hundred:.1f}{PERCENT_SIGN}" if judged >= MANY else f"{floor(hundred + 0.5)}{PERCENT_SIGN}"


def clock(moment: datetime, time_zone: str | None, offset_minutes: int | None = None) -> str:
    """Return an instant as local time of day, `10:05`."""
    return f"{wording.local(moment, time_zone, offset_minutes):%H:%M}"


def day_and_clock(moment: datetime, time_zone: str | None, offset_minutes: int | None = None) -> str:
    """Return an instant as local day and time, `3 January 2026, 10:05`."""
    there: date = wording.local(moment, time_zone, offset_minutes)
    return f"{wording.day(there)}, {there:%H:%M}"


def write_page(path: Path, html: str) -> bool:
    """Write a page whole, through a neighbour that is renamed; say whether the file changed.

    A file that already holds these bytes is left untouched. Raises `DiskError` when the folder cannot be written.
    """
    content = html.encode("utf-8")
    try:
        if path.is_file() and path.read_bytes() == content:
            return False
        path.parent.mkdir(parents=True, exist_ok=True)
        _replace(path, content)
    except OSError as fault:
        raise DiskError(
            f"{path}: the page cannot be written ({fault.strerror}); make room or check the folder's permissions."
        ) from None
    return True


def _replace(path: Path, content: bytes) -> None:
    descriptor, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with os.fdopen(descriptor, "wb") as handle:
            handle.write(content)
            handle.flush()
            os.fsync(handle.fileno())
        Path(name).chmod(0o644)
        Path(name).replace(path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
