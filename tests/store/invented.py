"""Invented months for the store's tests: a few rows in every table, and a child process that saves them."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import polars as pl

from qa_audit.store import UNDATED, MonthToSave, RunIdentity
from qa_audit.store.month_files import KEPT
from qa_audit.tables.batch import Source

FIRST_RUN = RunIdentity("inputs-1", "settings-1", "key-1", "0.1.0", de_identify=False)
SECOND_RUN = RunIdentity("inputs-2", "settings-1", "key-1", "0.1.0", de_identify=False)
AUDITED_ON = date(2026, 4, 2)


def tables(month: str, *, reports: int = 3, saturation: float = 97.0) -> dict[str, pl.DataFrame]:
    """Return every kept table of one month; `saturation` is what a test changes to get a month with other rows."""
    start = datetime.fromisoformat(f"{month}-05T10:00:00").replace(tzinfo=UTC)
    rows: dict[str, list[dict[str, object]]] = {table.name: [] for table in KEPT}
    for report in range(reports):
        report_id = f"R-{month}-{report}"
        notified = start + timedelta(hours=report)
        rows["reports"].append(
            {"report": report, "report_id": report_id, "month": month, "unit_notified": notified, "subset": "full"}
        )
        fact = {
            "fact": report,
            "report": report,
            "item": "eVitals.12",
            "time": notified,
            "value": saturation,
            "status": "present",
        }
        rows["facts"].append(fact)
        rows["members"].append({"report": report, "member": f"P-{report}", "roles": ["2403001"], "ppe_recorded": False})
        rows["narratives"].append({"report": report, "text": "An invented call; nothing happened."})
        rows["determinations"].append(
            {
                "report": report,
                "report_id": report_id,
                "rule": "oxygen-kept-within-target",
                "outcome": "met",
                "evidence": [report],
            }
        )
    rows["remarks"].append({"report": 0, "remark": "unknown_code", "code": "123"})
    rows["definitions"].append({"custom_id": "svc.filter", "data_type": "text", "values": ["1", "0"], "reports": 1})
    rows["held_back"].append({"month": month, "source": 0, "check": "no_uuid", "sentence": "The report has no UUID."})
    rows["check_results"].append(
        {"check": "has-uuid", "verdict": "hold_back", "asked": reports, "failed": 0, "failed_reports": []}
    )
    return {table.name: table.frame(rows[table.name]) for table in KEPT}


def a_month(month: str, *, saturation: float = 97.0, audited_on: date = AUDITED_ON) -> MonthToSave:
    """Return one invented month, ready to be saved."""
    return MonthToSave(month, audited_on, (Source(0, "ab" * 32, 4),), tables(month, saturation=saturation))


def undated() -> MonthToSave:
    """Return two held-back rows without a readable date."""
    held_back = tables("2026-01")["held_back"].with_columns(month=pl.lit(None, pl.String))
    return MonthToSave(
        UNDATED, AUDITED_ON, (Source(0, "ab" * 32, 4),), {"held_back": pl.concat([held_back, held_back])}
    )


def second_run() -> list[MonthToSave]:
    """Return what the second run of the kill tests brings: February anew, March and undated rows for the first time."""
    return [a_month("2026-02", saturation=91.0), a_month("2026-03"), undated()]


def files_under(folder: Path) -> dict[str, bytes]:
    """Return every file below a folder with its content, leftovers too; not the catalogue and the lock."""
    found = (path for path in folder.rglob("*") if path.is_file())
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(found)
        if path.name.split(".")[0] not in {"catalogue", "run"}
    }
