"""What goes wrong below the store, said in one sentence: the disk's faults and the catalogue's."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from qa_audit.errors import DiskError, StoreError

_DISK = {
    sqlite3.SQLITE_CANTOPEN,
    sqlite3.SQLITE_FULL,
    sqlite3.SQLITE_IOERR,
    sqlite3.SQLITE_PERM,
    sqlite3.SQLITE_READONLY,
}
_TAKEN = {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}
_DAMAGED = {sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB}
_PRIMARY_CODE = 0xFF
"""SQLite's extended result codes carry the primary one in their low byte."""


@contextmanager
def disk_faults(where: Path) -> Iterator[None]:
    """Turn an `OSError` of the body into a `DiskError` that names the path and the remedy."""
    try:
        yield
    except OSError as fault:
        raise _disk_error(where, fault.strerror) from fault


@contextmanager
def catalogue_faults(where: Path) -> Iterator[None]:
    """Turn an SQLite error of the body into a `DiskError` or a `StoreError`; what only our own SQL can cause stays."""
    try:
        yield
    except sqlite3.DatabaseError as fault:
        # An error without a code is raised by Python's own checks: our bug.
        code = getattr(fault, "sqlite_errorcode", 0) & _PRIMARY_CODE
        if code in _DISK:
            raise _disk_error(where, str(fault)) from fault
        if code in _TAKEN:
            raise StoreError(
                f"{where}: another command is writing to it; wait until it is done, then try again."
            ) from fault
        if code in _DAMAGED:
            raise StoreError(f"{where}: the catalogue is damaged; restore all of records/ from your backup.") from fault
        raise


def _disk_error(where: Path, found: str | None) -> DiskError:
    return DiskError(
        f"{where}: cannot be read or written ({found}); free space or mend its permissions, then try again: "
        "what was stored before is unchanged."
    )
