"""Which files are read, in which order, and what tells one set of inputs from another."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from qa_audit.errors import CommandError, DiskError

READ_IN_FOLDERS = ".xml"
CHUNK = 1 << 20


@dataclass(frozen=True)
class Listing:
    """The files that are read, in reading order, and those of the folders that are skipped."""

    files: tuple[Path, ...]
    skipped: tuple[Path, ...]


def list_files(inputs: Sequence[Path]) -> Listing:
    """List named files as they are, and of each folder every *.xml at any depth by its path; hidden ones are left out.

    Raises `CommandError` for an input that is not there, `DiskError` for a folder that cannot be read.
    """
    wanted: dict[Path, Path] = {}
    skipped: dict[Path, Path] = {}
    for path in inputs:
        if not path.exists():
            raise CommandError(
                f"{path}: there is no such file or folder; give the files or folders that hold the reports."
            )
        for file in _within(path) if path.is_dir() else [path]:
            kept = wanted if file is path or file.suffix.lower() == READ_IN_FOLDERS else skipped
            kept.setdefault(file.resolve(), file)
    return Listing(tuple(wanted.values()), tuple(skipped.values()))


def inputs_digest(inputs: Sequence[Path]) -> str:
    """Return a SHA-256 over the SHA-256 of every file that would be read, in reading order."""
    digest = hashlib.sha256()
    for file in list_files(inputs).files:
        digest.update(bytes.fromhex(_digest(file)))
    return digest.hexdigest()


def files_of(inputs: Sequence[Path], digests: Iterable[str]) -> dict[str, Path]:
    """Return which input has each given SHA-256, for the terminal alone: a file is often named after its chart."""
    wanted = set(digests)
    files = list_files(inputs).files if wanted else ()
    return {digest: file for file in files if (digest := _digest(file)) in wanted}


def _digest(file: Path) -> str:
    digest = hashlib.sha256()
    for chunk in chunks(file):
        digest.update(chunk)
    return digest.hexdigest()


def chunks(file: Path, size: int = CHUNK) -> Iterator[bytes]:
    """Yield a file's bytes in order; raises `DiskError` when it cannot be read."""
    try:
        with file.open("rb") as opened:
            while chunk := opened.read(size):
                yield chunk
    except OSError as fault:
        raise DiskError(
            f"{file}: the file cannot be read ({fault.strerror}); check the path and its permissions."
        ) from None


def _within(folder: Path) -> Iterable[Path]:
    found = []
    for place, folders, names in os.walk(folder, onerror=_cannot_read):
        folders[:] = [name for name in folders if not name.startswith(".")]
        found += [Path(place) / name for name in names if not name.startswith(".")]
    return sorted(found, key=lambda file: file.relative_to(folder).parts)


def _cannot_read(fault: OSError) -> None:
    raise DiskError(f"{fault.filename}: the folder cannot be read ({fault.strerror}); check its permissions.")
