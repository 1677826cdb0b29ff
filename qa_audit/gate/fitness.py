"""Whether a batch is fit to audit: enough of it was admitted."""

from __future__ import annotations

import polars as pl

from qa_audit.errors import NothingAdmittedError
from qa_audit.gate.admission import Gated
from qa_audit.settings import Settings
from qa_audit.tables.held_back import NOT_IN_THE_SHARE


def refuse_if_unfit(gated: Gated, settings: Settings) -> None:
    """Raise `NothingAdmittedError` when nothing was admitted, or too large a share was held back.

    Superseded reports and those of other months or agencies do not count toward the share.
    """
    admitted = int(gated.batch.reports.select(pl.len()).collect().item())
    held = gated.batch.held_back
    if admitted == 0:
        raise NothingAdmittedError(_nothing_admitted(held))
    counted = held.filter(~pl.col("check").cast(pl.String).is_in(NOT_IN_THE_SHARE))
    total = admitted + counted.height
    allowed = settings.gate.stop_above_share
    if counted.height > allowed * total:
        raise NothingAdmittedError(
            f"Too many reports were held back to audit: {counted.height} of {total}"
            f" ({counted.height / total:.1%}; {_by_check(counted)}), allowed are {allowed:.1%} (settings"
            " gate.stop_above_share); mend the inputs or leave the faulty ones out, and run again."
        )


def _nothing_admitted(held: pl.DataFrame) -> str:
    if held.is_empty():
        return (
            "Nothing was admitted: the inputs hold no report; name files or folders with NEMSIS v3.5 EMSDataSet XML,"
            " and run again."
        )
    return (
        f"Nothing was admitted: all {held.height} reports read were held back ({_by_check(held)}); at least one must"
        " be admitted: check that inputs, asked month and settings agency.number belong together, and run again."
    )


def _by_check(held: pl.DataFrame) -> str:
    counts = held.group_by(pl.col("check").cast(pl.String)).len().sort(["len", "check"], descending=[True, False])
    return ", ".join(f"{number} {check}" for check, number in counts.iter_rows())
