"""Opening the store: where things lie, what must be there, and clearing what a killed run left."""

from __future__ import annotations

from pathlib import Path

from qa_audit.errors import StoreError
from qa_audit.store import catalogue as catalogue_file
from qa_audit.store import month_files
from qa_audit.store.catalogue import Catalogue
from qa_audit.store.durable import make_folder
from qa_audit.store.faults import disk_faults
from qa_audit.store.month_key import month_folders


def version_folder(records: Path, month: str, version: int) -> Path:
    """Return where a version's files lie: `records/2026-01/v0001`."""
    return records / month / f"v{version:04d}"


def catalogue_path(records: Path) -> Path:
    """Return where the catalogue lies."""
    return records / catalogue_file.FILE_NAME


def prepare(out: Path, *, read_only: bool) -> Path:
    """Return `records/` of an output folder, made for a run.

    Raises `StoreError` when it is gone or, for reading, was never there; `DiskError`.
    """
    records = out / "records"
    with disk_faults(records):
        if not catalogue_path(records).exists():
            _refuse_lost_memory(out, records)
            if read_only:
                raise _nothing_stored(records)
            make_folder(records)
    return records


def bring_in_order(out: Path, records: Path, catalogue: Catalogue, *, read_only: bool) -> None:
    """Write the schema of a new catalogue, clear leftovers, and see that catalogue and folders belong together.

    Raises `StoreError`, `DiskError`.
    """
    if catalogue.is_new:
        # A run killed while it made the catalogue leaves an empty one and no month; anything else is a loss.
        with disk_faults(records):
            _refuse_lost_memory(out, records)
        if read_only:
            raise _nothing_stored(records)
        catalogue.write_schema()
    if not read_only:
        clear_leftovers(records, catalogue)
        with disk_faults(records):
            _refuse_unknown_versions(records, catalogue)


def clear_leftovers(records: Path, catalogue: Catalogue) -> None:
    """Remove what was begun and not finished, then forget it; raises `DiskError`, `StoreError`."""
    leftovers = catalogue.in_flight()
    for month, number in leftovers:
        month_files.remove(version_folder(records, month, number))
    if leftovers:
        catalogue.forget_in_flight()


def _nothing_stored(records: Path) -> StoreError:
    return StoreError(
        f"{records}: no month is stored here; use `qa-audit run` first, or give the right folder with --out."
    )


def _refuse_lost_memory(out: Path, records: Path) -> None:
    left = [path.relative_to(out).as_posix() for path in (*month_folders(out), *month_folders(records))]
    if left:
        raise StoreError(
            f"{out}: {len(left)} month folder(s) are here, {left[0]} first, but {catalogue_path(records)}, which "
            "remembers what they rest on, is missing; restore all of records/ from your backup or choose another --out."
        )


def _refuse_unknown_versions(records: Path, catalogue: Catalogue) -> None:
    """An old catalogue beside newer folders is a backup half restored: to clear those would lose months."""
    for month in month_folders(records):
        known = {version_folder(records, month.name, number) for number in catalogue.numbers(month.name)}
        unknown = sorted(set(month.glob("v*")) - known)
        if unknown:
            raise StoreError(
                f"{unknown[0]}: the catalogue does not know this folder, so the two are not of one time; "
                "restore all of records/ from one backup, or move this folder away."
            )
