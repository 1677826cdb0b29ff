"""A month's tables as Parquet: the same rows give the same bytes, on every run and in every folder."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from io import BytesIO
from pathlib import Path

import polars as pl

from qa_audit.store.catalogue import Seal
from qa_audit.store.durable import ASIDE, make_folder, publish_folder, remove_folder, write_durably
from qa_audit.store.faults import disk_faults
from qa_audit.store.month_key import UNDATED
from qa_audit.tables import (
    CHECK_RESULTS,
    DEFINITIONS,
    DETERMINATIONS,
    FACTS,
    HELD_BACK,
    MEMBERS,
    NARRATIVES,
    REMARKS,
    REPORTS,
    Table,
)

KEPT = (REPORTS, FACTS, MEMBERS, NARRATIVES, REMARKS, DEFINITIONS, HELD_BACK, CHECK_RESULTS, DETERMINATIONS)
"""The tables of a stored month; `records` serves the gate alone, and `figures` are computed from determinations."""

Frames = Mapping[str, pl.DataFrame | pl.LazyFrame]
"""A table's name and its rows."""

_ROWS_IN_A_GROUP = 65_536  # facts are sorted by item, so a group holds few items and a rule reads few groups
_OWNER_ALONE = 0o600
_UMASK_DECIDES = 0o666


def encode(month: str, frames: Frames) -> dict[str, bytes]:
    """Return each kept table as the content of its Parquet file, rows in the order given.

    Every table must be there, except that `undated` may bring held-back rows alone; raises `ValueError` otherwise.
    """
    names = {table.name for table in KEPT}
    needed = {HELD_BACK.name} if month == UNDATED else names
    if not needed <= frames.keys() <= names:
        raise ValueError(f"{month}: tables {sorted(frames)} given, {sorted(needed)} needed")
    return {table.name: _parquet(table, frames.get(table.name, table.empty())) for table in KEPT}


def _parquet(table: Table, frame: pl.DataFrame | pl.LazyFrame) -> bytes:
    buffer = BytesIO()
    # Whatever shapes the bytes is said here, so that no default of a later polars can change them unseen.
    table.conform(frame.lazy()).sink_parquet(
        buffer,
        compression="zstd",
        compression_level=3,
        statistics=True,
        row_group_size=_ROWS_IN_A_GROUP,
        maintain_order=True,
    )
    return buffer.getvalue()


def seals(contents: Mapping[str, bytes]) -> dict[str, Seal]:
    """Return the seal of each table's file."""
    return {name: Seal(hashlib.sha256(content).hexdigest(), len(content)) for name, content in contents.items()}


def same_rows(folder: Path, contents: Mapping[str, bytes]) -> bool:
    """Whether a folder's files hold these rows: another polars may write the same rows as other bytes."""
    return all(pl.read_parquet(_file(folder, name)).equals(pl.read_parquet(new)) for name, new in contents.items())


def write_folder(folder: Path, contents: Mapping[str, bytes]) -> None:
    """Write a version's folder aside, wait until the disk has it, then give it its name; raises `DiskError`."""
    aside = aside_of(folder)
    with disk_faults(folder):
        make_folder(aside)
        for name, content in contents.items():
            write_durably(_file(aside, name), content, _OWNER_ALONE if name == NARRATIVES.name else _UMASK_DECIDES)
        publish_folder(aside, folder)


def remove(folder: Path) -> None:
    """Remove a version's folder, finished or not; raises `DiskError`."""
    with disk_faults(folder):
        remove_folder(aside_of(folder))
        remove_folder(folder)


def scan(folder: Path, table: Table) -> pl.LazyFrame:
    """Return a stored table, lazily."""
    return pl.scan_parquet(_file(folder, table.name))


def is_whole(folder: Path, expected: Mapping[str, Seal]) -> bool:
    """Whether every table has its file at its full length (what a half-copied backup lacks)."""
    paths = {_file(folder, name): seal for name, seal in expected.items()}
    return all(path.is_file() and path.stat().st_size == seal.size for path, seal in paths.items())


def aside_of(folder: Path) -> Path:
    """Return the name a version's folder has until it is finished."""
    return folder.with_name(folder.name + ASIDE)


def _file(folder: Path, name: str) -> Path:
    return folder / f"{name}.parquet"
