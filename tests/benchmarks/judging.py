"""The four rules on generated reports, against a bare scan of the columns they read; run by hand.

    python tests/benchmarks/judging.py [REPORTS]

Prints the median of five of each in one run, and their ratio.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median

import polars as pl
from generated import month

from qa_audit import audit, rules
from qa_audit.settings import Settings
from qa_audit.tables import DEFINITIONS, HELD_BACK, NARRATIVES, RECORDS, REMARKS, Batch

COLUMNS = [
    *("fact", "report", "item", "time", "value", "unit", "count", "success"),
    *("member", "status", "why", "call_group", "origin", "by_others"),
]


def main(reports: int) -> None:
    """Time both, five times each, turn by turn."""
    with tempfile.TemporaryDirectory() as folder:
        for name, table in month(reports).items():
            table.write_parquet(Path(folder) / f"{name}.parquet", row_group_size=65_536)
        batch = _batch(Path(folder))
        ruleset = rules.load(Path("rulesets"), None)
        settings = Settings(time_zone="America/Chicago")
        scan, judge = [], []
        for _ in range(5):
            scan.append(_seconds(lambda: batch.facts.select(COLUMNS).collect()))
            judge.append(_seconds(lambda: audit.judge(batch, ruleset, settings)))
        rows = batch.facts.select(pl.len()).collect().item()
    print(f"{reports} reports, {rows} facts: scan {median(scan):.3f} s, four rules {median(judge):.3f} s, "
          f"ratio {median(judge) / median(scan):.1f}")  # fmt: skip


def _batch(folder: Path) -> Batch:
    return Batch(
        reports=pl.scan_parquet(folder / "reports.parquet"),
        facts=pl.scan_parquet(folder / "facts.parquet"),
        members=pl.scan_parquet(folder / "members.parquet"),
        narratives=NARRATIVES.empty().lazy(),
        records=RECORDS.empty().lazy(),
        remarks=REMARKS.empty().lazy(),
        definitions=DEFINITIONS.empty(),
        held_back=HELD_BACK.empty(),
        sources=(),
    )


def _seconds(work: Callable[[], object]) -> float:
    begun = time.perf_counter()
    work()
    return time.perf_counter() - begun


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100_000)
