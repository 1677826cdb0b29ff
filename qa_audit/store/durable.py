"""Files that are wholly there or not at all, also after a power cut: written aside, flushed to the disk, renamed."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

from qa_audit.store.faults import disk_faults

ASIDE = ".tmp"
"""Suffix of a file or folder that is not finished; one that is left over by a killed run is worth nothing."""


def write_atomically(path: Path, content: bytes) -> None:
    """Write a file so that a reader finds its old content or its new one, kill or no kill; raises `DiskError`."""
    aside = path.with_name(path.name + ASIDE)
    with disk_faults(path):
        make_folder(path.parent)
        try:
            write_durably(aside, content)
            os.replace(aside, path)  # noqa: PTH105 -- the tests of a killed run count os calls
        except OSError:
            aside.unlink(missing_ok=True)
            raise
        sync_folder(path.parent)


def write_durably(path: Path, content: bytes, mode: int = 0o666) -> None:
    """Write a file and wait until the disk has it; `mode` is narrowed by the umask; raises `OSError`."""
    with open(path, "wb", opener=lambda name, flags: os.open(name, flags, mode)) as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def make_folder(folder: Path) -> None:
    """Make a folder and what is missing above it, and wait until the disk has their names; raises `OSError`."""
    if not folder.exists():
        make_folder(folder.parent)
        folder.mkdir()
        sync_folder(folder.parent)


def publish_folder(aside: Path, final: Path) -> None:
    """Give a finished folder its name, once the disk has its files' names; raises `OSError`."""
    sync_folder(aside)
    os.rename(aside, final)  # noqa: PTH104 -- as in write_atomically
    sync_folder(final.parent)


def sync_folder(folder: Path) -> None:
    """Wait until the disk has the names in a folder; raises `OSError`."""
    if os.name == "nt":  # Windows keeps names in order by itself and opens no folder
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def remove_folder(folder: Path) -> None:
    """Remove a folder with its files, if it is there; raises `OSError`."""
    if folder.is_dir():
        shutil.rmtree(folder)
