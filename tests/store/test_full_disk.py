from __future__ import annotations

import random
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

import polars as pl
import pytest
from store.invented import SECOND_RUN, a_month, files_under

from qa_audit.errors import DiskError
from qa_audit.store import Store

SIZE_KB = 1024


@pytest.fixture
def small_disk(filled: Path, tmp_path: Path) -> Iterator[Path]:
    """The filled store, on a disk of its own with little room."""
    disk = tmp_path / "disk"
    disk.mkdir()
    mounted = shutil.which("mount") and subprocess.run(
        ["mount", "-t", "tmpfs", "-o", f"size={SIZE_KB}k", "tmpfs", str(disk)], capture_output=True, check=False
    )
    if not mounted or mounted.returncode != 0:
        pytest.skip("no small disk can be mounted here: it takes the rights of root")
    try:
        yield Path(shutil.copytree(filled, disk / "output"))
    finally:
        subprocess.run(["umount", str(disk)], check=True)


def test_a_full_disk_is_said_in_one_sentence_and_loses_nothing(small_disk: Path) -> None:
    before = files_under(small_disk)
    month = a_month("2026-03")
    noise = random.Random(1)  # noqa: S311 -- text that does not compress
    texts = ["".join(chr(noise.randrange(33, 126)) for _ in range(1_000)) for _ in range(SIZE_KB)]
    narratives = pl.DataFrame({"report": range(SIZE_KB), "text": texts})
    too_large = replace(month, tables={**month.tables, "narratives": narratives})
    with (
        Store.open(small_disk) as store,
        pytest.raises(DiskError, match=r"v0001: cannot be read or written \(No space left on device\)"),
    ):
        store.save([a_month("2026-02", saturation=91.0), too_large], SECOND_RUN)
    assert files_under(small_disk) == before
    with Store.open(small_disk) as store:
        (march,) = store.save([month], SECOND_RUN)
    assert march.version == 1


def test_a_disk_without_room_for_the_catalogue_loses_nothing(small_disk: Path) -> None:
    before = files_under(small_disk)
    filler = small_disk.parent / "filler"
    fill(filler)
    with pytest.raises(DiskError, match="free space"), Store.open(small_disk) as store:
        store.save([a_month("2026-03")], SECOND_RUN)
    filler.unlink()
    assert files_under(small_disk) == before
    with Store.open(small_disk) as store:
        assert store.months() == ["2026-01", "2026-02"]


def fill(filler: Path) -> None:
    """Write until the disk takes no more."""
    with suppress(OSError), filler.open("wb", buffering=0) as file:
        while file.write(b"0" * 4096):
            pass
