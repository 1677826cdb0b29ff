"""The sample months: which reports stand in which file."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from qa_audit.demo import ordinary, planted
from qa_audit.demo.case import Case
from qa_audit.demo.service import AGENCY, ZONE
from qa_audit.demo.xml_writer import document

MONTHS = ("2026-01", "2026-02", "2026-03")
REPORTS_A_MONTH = 40
PARTS = ((1, 8), (9, 16), (17, 23), (24, 31))
"""Days of the month that one file holds."""

OLDER_FILE = "2026-01/part-1.xml"
"""The one file that is declared as 3.5.0."""

EXPORTED_TWICE = "2026-02 ordinary 1"
"""A report that was mended and exported again: the later one counts, the earlier is held back."""


@dataclass(frozen=True)
class File:
    """One sample file: where it stands in the folder, and what it holds."""

    path: str
    cases: tuple[Case, ...]

    @property
    def content(self) -> bytes:
        """Return its XML."""
        return document(AGENCY, self.cases, "3.5.0" if self.path == OLDER_FILE else "3.5.1")


def files(seed: int) -> Iterator[File]:
    """Yield the files of the sample months, in the order of their paths."""
    for month in MONTHS:
        cases = _month(seed, month)
        for number, (first, last) in enumerate(PARTS, start=1):
            part = tuple(case for case in cases if first <= _local_day(case) <= last)
            yield File(f"{month}/part-{number}.xml", part)
        mended = [_mended(case) for case in cases if case.name == EXPORTED_TWICE]
        if mended:
            yield File(f"{month}/part-{len(PARTS) + 1}-exported-again.xml", tuple(mended))


def _month(seed: int, month: str) -> Sequence[Case]:
    fixed = [one.case for one in planted.cases() if one.case is not None and one.month == month]
    drawn = ordinary.calls(seed, month, REPORTS_A_MONTH - len(fixed))
    return sorted((*fixed, *drawn), key=lambda case: (case.milestones.notified, case.name))


def _local_day(case: Case) -> int:
    return case.milestones.notified.astimezone(ZONE).day


def _mended(case: Case) -> Case:
    """Return the report as it was exported again, with its narrative completed."""
    return replace(case, narrative="Entry completed after the call, by the usual late-entry procedure.")
