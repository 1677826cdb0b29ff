"""The catalogue: one SQLite file that says which version of each month is current; the only place that speaks SQL."""

from __future__ import annotations

import hashlib
import json
import os
import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import closing, contextmanager
from dataclasses import asdict, dataclass
from datetime import date
from importlib.resources import files
from pathlib import Path
from typing import Any, NamedTuple

from qa_audit.errors import StoreError
from qa_audit.store.faults import catalogue_faults
from qa_audit.tables.batch import Source

FILE_NAME = "catalogue.sqlite"
LAYOUT = 1
"""The `user_version` that schema.sql sets, and the only one this code reads."""


@dataclass(frozen=True)
class RunIdentity:
    """Everything that decides what ingest and gate make of a run: two runs with one identity give the same tables."""

    inputs_digest: str
    settings_digest: str
    key_fingerprint: str
    code_version: str
    de_identify: bool

    @property
    def digest(self) -> str:
        """SHA-256 of all of it."""
        return hashlib.sha256(json.dumps(asdict(self), sort_keys=True).encode()).hexdigest()


class Seal(NamedTuple):
    """What a table's file must be: SHA-256 of its bytes, and how many they are."""

    sha256: str
    size: int


@dataclass(frozen=True)
class Version:
    """One version of one month, as the catalogue knows it; `seals` by table name."""

    month: str
    number: int
    audited_on: date
    sources: tuple[Source, ...]
    seals: dict[str, Seal]


class Catalogue:
    """Questions to the catalogue, and the few statements that change it; each raises `StoreError` or `DiskError`."""

    def __init__(self, path: Path, connection: sqlite3.Connection) -> None:
        """Take an open connection in autocommit mode."""
        self._path = path
        self._connection = connection

    @classmethod
    @contextmanager
    def open(cls, path: Path, *, read_only: bool) -> Iterator[Catalogue]:
        """Open the file, made empty when it is not there and may be written; `is_new` tells."""
        with catalogue_faults(path):
            connection = sqlite3.connect(_address(path, read_only=read_only), uri=True, isolation_level=None)
        with closing(connection):
            catalogue = cls(path, connection)
            catalogue._ask("PRAGMA foreign_keys = ON")
            if read_only:
                catalogue._ask("BEGIN")  # one state of the store for as long as it is read
            else:
                catalogue._ask("PRAGMA journal_mode = WAL")
                catalogue._ask("PRAGMA synchronous = FULL")
            yield catalogue

    @property
    def is_new(self) -> bool:
        """Whether the schema is still to be written; raises `StoreError` when another layout stands there."""
        ((layout,),) = self._ask("PRAGMA user_version")
        if layout not in (0, LAYOUT):
            raise StoreError(
                f"{self._path}: written in layout {layout}, and this qa-audit reads layout {LAYOUT}; "
                "use the version of qa-audit that wrote it, or a newer one."
            )
        return bool(layout == 0)

    def write_schema(self) -> None:
        """Make the tables, all in one transaction."""
        with catalogue_faults(self._path):
            self._connection.executescript(files("qa_audit.store").joinpath("schema.sql").read_text(encoding="utf-8"))

    def key(self) -> str | None:
        """Return the fingerprint of the store's key; null before its first use."""
        return next((row[0] for row in self._ask("SELECT fingerprint FROM store_key")), None)

    def keep_key(self, fingerprint: str) -> None:
        """Bind the store to a key."""
        self._ask("INSERT INTO store_key VALUES (1, ?)", (fingerprint,))

    def months(self) -> list[str]:
        """Return every month with a current version, `undated` too, sorted."""
        return [month for (month,) in self._ask("SELECT month FROM current ORDER BY month")]

    def current(self, month: str) -> Version | None:
        """Return the month's current version; null when it has none."""
        join = "JOIN current USING (month, number) WHERE month = ?"
        found = self._ask(f"SELECT number, audited_on FROM version {join}", (month,))  # noqa: S608 -- constants alone
        if not found:
            return None
        ((number, audited_on),) = found
        sources = self._ask(
            f"SELECT ordinal, sha256, reports FROM version_source {join} ORDER BY ordinal",  # noqa: S608
            (month,),
        )
        seals = self._ask(f"SELECT name, sha256, size FROM version_table {join}", (month,))  # noqa: S608
        return Version(
            month,
            number,
            date.fromisoformat(audited_on),
            tuple(Source(*row) for row in sources),
            {name: Seal(sha256, size) for name, sha256, size in seals},
        )

    def numbers(self, month: str) -> set[int]:
        """Return the numbers of all versions of a month, old ones and those in flight too."""
        return {number for (number,) in self._ask("SELECT number FROM version WHERE month = ?", (month,))}

    def in_flight(self) -> list[tuple[str, int]]:
        """Return month and number of each version that a run began to write and has not finished."""
        return [
            (month, number)
            for month, number in self._ask("SELECT month, number FROM version WHERE state = 'in_flight'")
        ]

    def announce(self, version: Version) -> None:
        """Enter a version before its files are written, so that a killed run's leftovers are known."""
        key = (version.month, version.number)
        with self._transaction():
            self._ask("INSERT INTO version VALUES (?, ?, 'in_flight', ?)", (*key, version.audited_on.isoformat()))
            for name, seal in version.seals.items():
                self._ask("INSERT INTO version_table VALUES (?, ?, ?, ?, ?)", (*key, name, *seal))
            for source in version.sources:
                row = (*key, source.ordinal, source.sha256, source.reports)
                self._ask("INSERT INTO version_source VALUES (?, ?, ?, ?, ?)", row)

    def forget_in_flight(self) -> None:
        """Take back what was announced and not finished."""
        self._ask("DELETE FROM version WHERE state = 'in_flight'")

    def finish(self, run: RunIdentity, versions: Iterable[Version]) -> None:
        """Make all versions of a run current, and remember the run, in one transaction."""
        with self._transaction():
            self._ask("UPDATE version SET state = 'stored' WHERE state = 'in_flight'")
            self._ask("DELETE FROM run_month WHERE identity = ?", (run.digest,))
            for version in versions:
                key = (version.month, version.number)
                self._ask("INSERT OR REPLACE INTO current VALUES (?, ?)", key)
                self._ask("INSERT INTO run_month VALUES (?, ?, ?)", (run.digest, *key))

    def months_of(self, run: RunIdentity) -> list[str] | None:
        """Return the months that a run of this identity brought, sorted; null when none is there or one has changed."""
        rows = self._ask(
            "SELECT month, run_month.number = current.number FROM run_month JOIN current USING (month) "
            "WHERE identity = ? ORDER BY month",
            (run.digest,),
        )
        return [month for month, _ in rows] if rows and all(its_own for _, its_own in rows) else None

    def _ask(self, sql: str, values: tuple[str | int, ...] = ()) -> list[tuple[Any, ...]]:
        with catalogue_faults(self._path):
            return self._connection.execute(sql, values).fetchall()

    @contextmanager
    def _transaction(self) -> Iterator[None]:
        self._ask("BEGIN IMMEDIATE")
        try:
            yield
            self._ask("COMMIT")
        except BaseException:
            # On a full disk SQLite has rolled back by itself.
            if self._connection.in_transaction:
                self._ask("ROLLBACK")
            raise


def _address(path: Path, *, read_only: bool) -> str:
    """Return the file's URI; where nothing can be written, SQLite must not look for a writer's side files."""
    mode = "mode=ro" if read_only else "mode=rwc"
    still = read_only and not os.access(path.parent, os.W_OK) and not path.with_name(path.name + "-wal").exists()
    return f"{path.absolute().as_uri()}?{mode}{'&immutable=1' if still else ''}"
