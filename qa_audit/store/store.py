"""The store: opened for one run at a time, read by anybody, changed a whole run at once."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager, nullcontext, suppress
from pathlib import Path

import polars as pl

from qa_audit.errors import DiskError, StoreError
from qa_audit.store import month_files, opening
from qa_audit.store.catalogue import Catalogue, RunIdentity, Version
from qa_audit.store.faults import disk_faults
from qa_audit.store.month_key import UNDATED, month_key
from qa_audit.store.run_lock import run_lock
from qa_audit.store.stored import MonthToSave, Stored
from qa_audit.tables import DETERMINATIONS, Column, Table

MONTH_DETERMINATIONS = Table("month_determinations", {"month": Column(pl.String, "YYYY-MM"), **DETERMINATIONS.columns})
"""determinations of many months; `report` and `evidence` number rows inside their month alone."""


class Store:
    """The months that came before, under `records/`; made by `Store.open`."""

    def __init__(self, records: Path, catalogue: Catalogue) -> None:
        """Take the folder and its open catalogue."""
        self._records = records
        self._catalogue = catalogue

    @classmethod
    @contextmanager
    def open(cls, out: Path, *, read_only: bool = False) -> Iterator[Store]:
        """Open the store of an output folder, for a run (made if it is not there) or only for reading.

        A run holds it alone, while readers keep seeing the state they opened. What a killed run left is cleared first.
        Raises `StoreError` when another run holds it, when months are here whose memory is gone, when it is damaged, or
        when there is nothing to read; `DiskError` when the folder cannot be read or written.
        """
        records = opening.prepare(out, read_only=read_only)
        with (
            nullcontext() if read_only else run_lock(records),
            Catalogue.open(opening.catalogue_path(records), read_only=read_only) as catalogue,
        ):
            opening.bring_in_order(out, records, catalogue, read_only=read_only)
            yield cls(records, catalogue)

    def check_key(self, fingerprint: str) -> None:
        """Bind the store to a key at its first use; raises `StoreError` for any other key later on."""
        known = self._catalogue.key()
        if known is None:
            self._catalogue.keep_key(fingerprint)
        elif known != fingerprint:
            raise StoreError(
                f"{self._records}: its pseudonyms were made with the key of fingerprint {known[:12]}, this key's is "
                f"{fingerprint[:12]}; give the first key with --key-file, or choose another --out."
            )

    def months(self) -> list[str]:
        """Return the dated months that are stored, in time order; `undated` is asked for by `current`."""
        return [month for month in self._catalogue.months() if month != UNDATED]

    def current(self, month: str) -> Stored | None:
        """Return a month's current version, or null.

        Raises `StoreError` when its files are not all there, `CommandError` when the text names no month.
        """
        version = self._catalogue.current(month_key(month))
        return None if version is None else self._stored(version)

    def next_version(self, month: str) -> int:
        """Return the number that the month's next version will have."""
        return max(self._catalogue.numbers(month_key(month)), default=0) + 1

    def unchanged(self, run: RunIdentity) -> tuple[Stored, ...] | None:
        """Return what a run of this identity left, `undated` last, when all of it is still current; otherwise null."""
        months = self._catalogue.months_of(run)
        return None if months is None else tuple(found for month in months if (found := self.current(month)))

    def determinations(self) -> pl.LazyFrame:
        """Return MONTH_DETERMINATIONS: all rows of all dated months' current versions, lazily, in month order."""
        months = [stored for month in self.months() if (stored := self.current(month))]
        frames = (stored.scan(DETERMINATIONS).with_columns(month=pl.lit(stored.month)) for stored in months)
        return pl.concat([MONTH_DETERMINATIONS.empty().lazy(), *map(MONTH_DETERMINATIONS.conform, frames)])

    def save(self, months: Sequence[MonthToSave], run: RunIdentity) -> tuple[Stored, ...]:
        """Replace each month that a run brings, all at once, and return them as stored, in the order given.

        A month with the tables and sources of its current version keeps that version and its `audited_on`.
        Raises `DiskError` or `StoreError`, and then nothing has changed.
        """
        if len({month_key(month.month) for month in months}) < len(months):
            raise ValueError("a run brings each month once")
        opening.clear_leftovers(self._records, self._catalogue)
        try:
            versions = [self._kept_or_written(month) for month in months]
            self._catalogue.finish(run, versions)
        except BaseException:
            # The first fault is the one to tell; what cannot be cleared now is cleared at the next opening.
            with suppress(DiskError, StoreError):
                opening.clear_leftovers(self._records, self._catalogue)
            raise
        return tuple(self._stored(version) for version in versions)

    def _kept_or_written(self, month: MonthToSave) -> Version:
        contents = month_files.encode(month.month, month.tables)
        new = Version(
            month=month.month,
            number=self.next_version(month.month),
            audited_on=month.audited_on,
            sources=tuple(sorted(month.sources, key=lambda source: source.ordinal)),
            seals=month_files.seals(contents),
        )
        old = self._catalogue.current(month.month)
        if old is not None and old.sources == new.sources and self._same_tables(old, new, contents):
            return old
        self._catalogue.announce(new)
        month_files.write_folder(opening.version_folder(self._records, new.month, new.number), contents)
        return new

    def _same_tables(self, old: Version, new: Version, contents: dict[str, bytes]) -> bool:
        folder = self._stored(old).folder
        differing = {name: content for name, content in contents.items() if new.seals[name] != old.seals.get(name)}
        with disk_faults(folder):
            return month_files.same_rows(folder, differing)

    def _stored(self, version: Version) -> Stored:
        folder = opening.version_folder(self._records, version.month, version.number)
        with disk_faults(folder):
            whole = month_files.is_whole(folder, version.seals)
        if not whole:
            raise StoreError(
                f"{folder}: a file of this month is missing or cut short; restore all of records/ from your backup."
            )
        return Stored(version.month, version.number, version.audited_on, version.sources, folder)
