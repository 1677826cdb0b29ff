"""Admission: which reports stand, which are held back and why, and what the other checks find in those that stand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import polars as pl

from qa_audit.gate.asking import ask, results
from qa_audit.gate.checks import CHECKS
from qa_audit.gate.checks.hold_back import FILED_UNDER_THE_ASKED_MONTH, HoldBack, hold_backs
from qa_audit.gate.judge import Answer
from qa_audit.gate.sheet import Sheet
from qa_audit.gate.stripping import listed, strip
from qa_audit.gate.thresholds import thresholds
from qa_audit.gate.warming import wait_until_warm
from qa_audit.settings import Settings
from qa_audit.tables import HELD_BACK, Batch


@dataclass(frozen=True)
class Gated:
    """What the gate let through.

    `batch` holds the admitted reports and what belongs to them, impossible values stripped and listed among the
    remarks, `held_back` grown by what was not admitted. `check_results` has a row for every check.
    """

    batch: Batch
    check_results: pl.DataFrame


def admit(
    batch: Batch,
    settings: Settings,
    *,
    concepts: Mapping[str, frozenset[str]],
    month: str | None = None,
    agency: str | None = None,
) -> Gated:
    """Judge a batch; reports read = admitted + held back, before and after.

    `concepts` gives, for each concept of the newest edition, its items and its children's. `month` (`YYYY-MM`)
    holds back other months. `agency` is the pseudonym of `settings.agency.number`; without it the first agency
    read is the run's. Raises `SettingsError` for a threshold that no check uses.
    """
    numbers = thresholds(settings)
    wait_until_warm()
    backs = hold_backs(month, agency or _first_agency(batch))
    read = Sheet(batch, concepts, numbers, settings.time_zone)
    reasons = ask([back.check for back in backs], read)
    held = _held_back(batch, backs, reasons, month)
    stands = replace(_admitted(batch, held), held_back=_filed(batch, held))
    sheet = Sheet(stands, concepts, numbers, settings.time_zone)
    answers = ask(CHECKS, sheet)
    check_results = pl.concat([results([back.check for back in backs], reasons, read), results(CHECKS, answers, sheet)])
    return Gated(strip(stands, sheet, answers, listed(sheet, answers)), check_results)


def _first_agency(batch: Batch) -> str | None:
    """Return the agency of the first report read that names one."""
    named = batch.reports.filter(pl.col("agency").is_not_null()).sort("report").select("agency").head(1).collect()
    return None if named.is_empty() else str(named.item())


def _held_back(
    batch: Batch, backs: tuple[HoldBack, ...], reasons: dict[str, Answer], month: str | None
) -> pl.DataFrame:
    """Return the rows of `held_back` with their `report`: each report once, under the first check that it failed."""
    failed = [
        pl.DataFrame({"report": reasons[back.check.name].failed}, schema={"report": pl.UInt32}).with_columns(
            check=pl.lit(back.check.name), sentence=pl.lit(back.told)
        )
        for back in backs
    ]
    first = pl.concat(failed).unique("report", keep="first", maintain_order=True)
    asked = pl.col("check") == FILED_UNDER_THE_ASKED_MONTH
    rows = first.lazy().join(batch.reports, on="report").join(batch.records, on="report", how="left")
    filed = rows.with_columns(month=pl.when(asked).then(pl.lit(month, pl.String)).otherwise("month")).sort("report")
    columns = [pl.col(name).cast(dtype) for name, dtype in HELD_BACK.schema.items()]
    return filed.select("report", *columns).collect()


def _admitted(batch: Batch, held: pl.DataFrame) -> Batch:
    if held.is_empty():
        return batch
    out = held.lazy().select("report")
    return batch.keep(batch.reports.join(out, on="report", how="anti", maintain_order="left"))


def _filed(batch: Batch, held: pl.DataFrame) -> pl.DataFrame:
    return pl.concat([batch.held_back, held.drop("report")])
