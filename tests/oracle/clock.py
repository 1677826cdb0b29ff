"""Which edition an act falls under, on the clock of the place."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone, tzinfo
from zoneinfo import ZoneInfo

from oracle.model import Edition, Report


def zone_of(report: Report) -> tzinfo:
    """Return the report's clock: a named zone, or its own offset in minutes."""
    if isinstance(report.zone, str):
        return ZoneInfo(report.zone)
    return timezone(timedelta(minutes=report.zone))


def instant(report: Report, local: datetime) -> int:
    """Return a local wall-clock time as an instant in ms; of two alike the first."""
    return round(local.replace(tzinfo=zone_of(report)).timestamp() * 1000)


def fallback(report: Report, time: int | None) -> int:
    """Return the act's own time, else first patient contact, else unit notified."""
    if time is not None:
        return time
    return report.unit_notified if report.at_patient is None else report.at_patient


def local_date(report: Report, time: int) -> date:
    """Return the local day of an instant."""
    moment = datetime.fromtimestamp(time / 1000, UTC)
    return moment.astimezone(zone_of(report)).date()


def begins(report: Report, edition: Edition) -> int:
    """Return the instant at which an edition begins."""
    return instant(report, edition.from_local)


def in_force(report: Report, editions: list[Edition], time: int) -> Edition | None:
    """Return the edition in force at an instant; boundaries belong to the later one."""
    found = None
    for edition in editions:
        over = edition.until_local is not None and time >= instant(report, edition.until_local)
        if begins(report, edition) <= time and not over:
            found = edition
    return found


def nearest(report: Report, editions: list[Edition], time: int) -> Edition:
    """Return the edition whose time lies nearest to an instant."""

    def distance(edition: Edition) -> int:
        start = begins(report, edition)
        end = time if edition.until_local is None else instant(report, edition.until_local)
        return max(start - time, time - end, 0)

    return min(editions, key=distance)


def is_changeover_day(report: Report, editions: list[Edition], time: int) -> bool:
    """Whether an edition begins or ends on the local day of an instant."""
    day = local_date(report, time)
    bounds = [edition.from_local for edition in editions]
    bounds += [edition.until_local for edition in editions if edition.until_local is not None]
    return any(bound.date() == day for bound in bounds)


def others(
    report: Report, editions: list[Edition], act: Edition, time: int, touches: tuple[int, ...]
) -> list[Edition | None]:
    """Return the editions that answer beside the act's own; None where one should and there was none."""
    found: list[Edition | None] = []
    if report.unit_notified < begins(report, act) <= time:
        found.append(in_force(report, editions, report.unit_notified))
    number = editions.index(act)
    before = editions[number - 1] if number else None
    bounds = [bound for bound in (act.transition_until, act.made_known) if bound is not None]
    found += [before for bound in bounds if time < instant(report, bound)]
    if touches:
        first, last = min(touches), max(touches)
        found += [one for one in editions if first < begins(report, one) <= last and one is not act]
    return [one for number, one in enumerate(found) if not any(one is earlier for earlier in found[:number])]
