"""One run at a time: a lock that the operating system drops when its process ends, however it ends."""

from __future__ import annotations

import errno
import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from qa_audit.errors import StoreError
from qa_audit.store.faults import catalogue_faults, disk_faults

FILE_NAME = "run.lock"


@contextmanager
def run_lock(records: Path) -> Iterator[None]:
    """Hold the only right to run on a store; raises `StoreError` at once when another run holds it, `DiskError`."""
    path = records / FILE_NAME
    with disk_faults(path):
        _refuse_read_only(path)
    with catalogue_faults(path):
        # An SQLite file of its own: its lock works wherever Python runs, and readers of the catalogue never meet it.
        connection = sqlite3.connect(path, timeout=0, isolation_level=None)
    try:
        with catalogue_faults(path):
            _take(connection, records)
        yield
    finally:
        connection.close()


def _refuse_read_only(path: Path) -> None:
    """SQLite would open a file that may only be read without a word, and its lock would shut nobody out."""
    # Asked, not tried: closing a second handle on the file would drop a lock that this process holds.
    if path.exists() and not os.access(path, os.W_OK):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))


def _take(connection: sqlite3.Connection, records: Path) -> None:
    try:
        connection.execute("BEGIN EXCLUSIVE")
    except sqlite3.OperationalError as fault:
        if fault.sqlite_errorcode == sqlite3.SQLITE_BUSY:
            raise StoreError(
                f"{records}: another run is working on this folder; wait until it is done, or choose another --out."
            ) from None
        raise
