"""Which editions were in force in a month."""

from __future__ import annotations

from datetime import datetime

from qa_audit.rules import Edition, Ruleset

DECEMBER = 12


def editions_in(ruleset: Ruleset, month: str) -> tuple[Edition, ...]:
    """Return the editions in force at any local moment of `YYYY-MM`, oldest first; none where no guidance was."""
    year, number = (int(part) for part in month.split("-"))
    begins = datetime(year, number, 1)  # noqa: DTZ001 - editions begin at local moments without an offset
    ends = datetime(year + number // DECEMBER, number % DECEMBER + 1, 1)  # noqa: DTZ001 - as above
    return tuple(
        edition
        for edition in ruleset.editions
        if edition.begins < ends and (edition.until is None or edition.until > begins)
    )
